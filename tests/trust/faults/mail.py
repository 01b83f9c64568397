"""What the sweep of faults breaks of the services about mail."""

from collections.abc import Callable
from datetime import UTC, datetime

from scheduling.checklists.services.digests import digest_write
from scheduling.models import WeekVersion
from tests.people import Company
from tests.scheduling.houses import condition_make, day, house_make, version_make, visit_make

Call = Callable[[], object]
MONDAY_LATE = datetime(2027, 3, 1, 22, 45, tzinfo=UTC)  # 16:45 in the yard, on the Monday


def of_digest(company: Company) -> Call:
    lot = house_make(company, "Lot 1", {"flat_blow": 100})
    condition_make(lot, ["flat_blow"])
    posted = version_make(company, WeekVersion.State.POSTED)
    visit_make(posted, company.north, day(1), lot, {"flat_blow": 100})
    person = lot.site.superintendent
    assert person is not None
    return lambda: digest_write(superintendent_id=person.pk, now=MONDAY_LATE)


CASES: dict[str, Callable[[Company], Call]] = {"digest_write": of_digest}
PARTS = {"digest_keep"}
