"""What the sweep of faults breaks of the services about calls."""

from collections.abc import Callable

from jobs.models import Condition
from jobs.services import CallAnswer, call_record
from tests.jobs.views.built import built
from tests.people import ACTOR, NOW, Company

Call = Callable[[], object]


def of_call(company: Company) -> Call:
    """One call that settles a thing, promises another and disowns a third."""
    job = built(company)
    person = job.site.superintendent
    assert person is not None
    rows = list(Condition.objects.filter(job=job, owed_by="builder", gate="block")[:3])
    said = (("done", None, ""), ("on", NOW.date(), ""), ("not_theirs", None, "the owner's"))
    answers = [
        CallAnswer(row.pk, row.version, answer, day, note)
        for row, (answer, day, note) in zip(rows, said, strict=True)
    ]
    return lambda: call_record(
        superintendent_id=person.pk,
        branch=company.fairfield,
        answers=answers,
        seen=0,
        actor=ACTOR,
        now=NOW,
    )


CASES: dict[str, Callable[[Company], Call]] = {"call_record": of_call}
