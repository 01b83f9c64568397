"""Tomorrow's arrivals on the page of the evening before: window, who was told, whom to ring."""

from collections.abc import Iterable
from dataclasses import dataclass

from jobs.readiness.views.calls import clock_text
from scheduling.arrivals.queries.clock import PostedVisit, visits_on
from scheduling.arrivals.queries.windows import Recipient, Telling, telling_window, tellings_of
from scheduling.arrivals.words import window_text
from scheduling.evening.queries import Evening
from scheduling.models import WeekVersion

POSTED = WeekVersion.State.POSTED


@dataclass(frozen=True)
class TellingPresenter:
    """What one person was told last, and when; empty window: that nobody comes."""

    name: str
    window: str
    at: str


@dataclass(frozen=True)
class ArrivalPresenter:
    """When a crew is to arrive by the posted week, who was told, and whom no mail reaches."""

    window: str
    told: tuple[TellingPresenter, ...]
    to_ring: tuple[Recipient, ...]


def arrival_presenters(evening: Evening) -> dict[int, ArrivalPresenter]:
    """Return it by house; a week not posted tells nobody anything. Six statements at most."""
    job_ids = _posted_jobs(evening)
    visits = visits_on(job_ids, evening.day)
    if not visits:
        return {}
    tellings = tellings_of([visit.job for visit in visits.values()], evening.day)
    return {pk: _shown(visit, tellings[pk]) for pk, visit in visits.items()}


def _posted_jobs(evening: Evening) -> frozenset[int]:
    days = (day for day in evening.crew_days if day.crew_day.version.state == POSTED)
    return frozenset(stop.job.pk for day in days for stop in day.stops)


def _shown(visit: PostedVisit, telling: Telling) -> ArrivalPresenter:
    return ArrivalPresenter(
        window_text(visit.window), tuple(_told(visit, telling)), _to_ring(telling)
    )


def _told(visit: PostedVisit, telling: Telling) -> Iterable[TellingPresenter]:
    for row in telling.last.values():
        window = telling_window(row, visit.branch)
        if not row.has_failed:
            said = window_text(window) if window else ""
            yield TellingPresenter(row.to_name, said, clock_text(row.told_at, visit.branch))


def _to_ring(telling: Telling) -> tuple[Recipient, ...]:
    """Return those whom no mail reaches, unless somebody rang them."""
    rung = {to for to, row in telling.last.items() if row.mail is None}
    return tuple(recipient for recipient in telling.to_ring if recipient.to not in rung)
