"""What a superintendent's link opens: houses, what each owes, posted days; changes nothing."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from jobs.checklists.queries import House, checklist_houses, checklist_link_open
from jobs.localtime import local_date
from jobs.models import ChecklistLink, Condition, Job
from scheduling.arrivals.queries.clock import PostedVisit, visits_next
from scheduling.arrivals.queries.windows import Key, last_tellings, telling_window
from scheduling.models import WindowTold
from scheduling.progress import Window

FAR_OFF = date.max
OPEN = (Condition.State.OWED, Condition.State.PROMISED, Condition.State.REPORTED_DONE)


@dataclass(frozen=True)
class HouseDue:
    """One house of the link: what the builder's side owes, and when a crew comes by a posted week.

    conditions: those that can still be answered. settled: how many are seen done or waived, or
    taken over by us. coming: the next posted day from today on; None where no posted week sends a
    crew. window: when the crew arrives then, as the person was told last, else by the plan.
    """

    job: Job
    conditions: tuple[Condition, ...]
    settled: int
    coming: date | None
    window: Window | None = None

    @property
    def open_count(self) -> int:
        """How many things have not been reported done."""
        waiting = (Condition.State.OWED, Condition.State.PROMISED)
        return sum(condition.state in waiting for condition in self.conditions)


@dataclass(frozen=True)
class ChecklistPage:
    """A link with its houses, the most urgent first; `today` is the branch's."""

    link: ChecklistLink
    houses: tuple[HouseDue, ...]
    today: date

    def house(self, job_id: int) -> HouseDue | None:
        """Return the house of that job; None where it is not the link's own."""
        return next((house for house in self.houses if house.job.pk == job_id), None)

    def others(self, house: HouseDue | None) -> list[HouseDue]:
        """Return all houses but one."""
        return [other for other in self.houses if house is None or other.job != house.job]


def checklist_page(secret: str, *, now: datetime) -> ChecklistPage | None:
    """Return the page that a secret opens; None for a wrong, an expired and a revoked one alike.

    A constant number of statements, whatever the number of houses.
    """
    link = checklist_link_open(secret, now)
    if link is None:
        return None
    today = local_date(link.branch, now)
    houses = checklist_houses(link)
    visits = visits_next([house.job.pk for house in houses], today)
    told = last_tellings(
        WindowTold.objects.filter(job__in=visits, day__gte=today, to=WindowTold.To.SUPERINTENDENT)
    )
    due = (_house_due(house, visits.get(house.job.pk), told) for house in houses)
    return ChecklistPage(link, tuple(sorted(due, key=_urgency)), today)


def _house_due(house: House, visit: PostedVisit | None, told: Mapping[Key, WindowTold]) -> HouseDue:
    needed = [condition for condition in house.conditions if condition.holds]
    answerable = tuple(condition for condition in needed if condition.state in OPEN)
    return HouseDue(
        job=house.job,
        conditions=tuple(sorted(answerable, key=_first_answered)),
        settled=len(needed) - len(answerable),
        coming=visit.day if visit else None,
        window=_window(visit, told) if visit else None,
    )


def _window(visit: PostedVisit, told: Mapping[Key, WindowTold]) -> Window:
    row = told.get((visit.job.pk, visit.day, WindowTold.To.SUPERINTENDENT))
    return telling_window(row, visit.branch) or visit.window


def _first_answered(condition: Condition) -> tuple[bool, int]:
    """Put what is not reported done first, then what stops or holds up before what only tells."""
    gates = Condition.Gate.values
    return (condition.state == Condition.State.REPORTED_DONE, gates.index(condition.gate))


def _urgency(house: HouseDue) -> tuple[bool, date, date, str]:
    """Put houses that still owe first, by when a crew comes, then by when they are ready."""
    day = house.coming or FAR_OFF
    return (house.open_count == 0, day, house.job.ready_date or FAR_OFF, str(house.job))
