"""What the sweep of faults breaks of taking over."""

from collections.abc import Callable
from decimal import Decimal

from contractor.files.photos import Picture
from jobs.charges.services import condition_take_over
from jobs.estimating.taken_over import Taken
from jobs.models import Condition
from tests.jobs.estimates.built import built
from tests.people import ACTOR, NOW, Company

Call = Callable[[], object]


def of_take_over(company: Company) -> Call:
    """A chase past a flue, with a photo."""
    condition = Condition.objects.get(job=built(company), code="chases_capped")
    return lambda: condition_take_over(
        condition_id=condition.pk,
        version=condition.version,
        taken=Taken("chase", Decimal(12), flues=1),
        agreed_by="Rosa Reyes",
        picture=Picture(b"picture", 1, 1),
        actor=ACTOR,
        now=NOW,
    )


CASES: dict[str, Callable[[Company], Call]] = {"condition_take_over": of_take_over}
