"""What the sweep of faults breaks of the services that tell when a crew arrives."""

from collections.abc import Callable

from scheduling.arrivals.services import window_call_off, window_rung, window_tell
from scheduling.models import WeekVersion
from tests.people import ACTOR, Company
from tests.scheduling.arrivals.arrivals import (
    MONDAY_LATE,
    TUESDAY,
    TUESDAY_EARLY,
    comes,
    hours,
    old_house,
)

Call = Callable[[], object]
LATE = hours("11:00", "12:30")


def of_telling(company: Company) -> Call:
    house = old_house(company)
    comes(company, house)
    return lambda: window_tell(
        job_id=house.pk, day=TUESDAY, window=LATE, actor=ACTOR, now=TUESDAY_EARLY
    )


def of_ringing(company: Company) -> Call:
    house = old_house(company)
    comes(company, house)
    return lambda: window_rung(
        job_id=house.pk, day=TUESDAY, window=LATE, to="owner", actor=ACTOR, now=TUESDAY_EARLY
    )


def of_calling_off(company: Company) -> Call:
    house = old_house(company)
    comes(company, house)
    window_tell(job_id=house.pk, day=TUESDAY, window=LATE, actor=ACTOR, now=MONDAY_LATE)
    WeekVersion.objects.update(state="replaced")
    return lambda: window_call_off(
        job_id=house.pk, day=TUESDAY, to="owner", actor=ACTOR, now=TUESDAY_EARLY
    )


CASES: dict[str, Callable[[Company], Call]] = {
    "window_tell": of_telling,
    "window_rung": of_ringing,
    "window_call_off": of_calling_off,
}
