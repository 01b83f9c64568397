"""Who is to be told of a crew's arrival, what was told last, and what is due; changes nothing."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import QuerySet

from contractor.models import Branch, MailAddress
from contractor.outbox.queries import mail_enabled
from jobs.localtime import branch_calendar, local_date
from jobs.models import Job
from scheduling.arrivals.queries.clock import PostedVisit, clocked, crew_day_times, visits_of
from scheduling.gather.rows import Drives
from scheduling.models import CrewDay, Fact, WindowTold
from scheduling.progress import (
    DayFact,
    DayPlan,
    DayTimes,
    PlannedStep,
    PlannedStop,
    Window,
    arrival_window,
    day_progress,
)
from scheduling.progress.day import ARRIVED, CHECKED, FINISHED, STARTED, TURNED_AWAY

# Nobody is written to at night (common practice, no source).
FIRST_HOUR, LAST_HOUR = time(6, 0), time(20, 30)
WAS_THERE = (ARRIVED, CHECKED, STARTED, FINISHED, TURNED_AWAY)
To = WindowTold.To
Key = tuple[int, date, str]  # job, day, to whom


@dataclass(frozen=True)
class Recipient:
    """Somebody who is told of arrivals at a house; is_stopped: wants no mail."""

    to: str
    name: str
    email: str
    phone: str
    language: str
    is_stopped: bool = False

    @property
    def has_mail(self) -> bool:
        """Whether a mail can be written at all; else somebody has to ring."""
        return bool(self.email) and not self.is_stopped and mail_enabled()


@dataclass(frozen=True)
class Telling:
    """One house on one day: whom to tell, and what each was told last, by recipient."""

    recipients: tuple[Recipient, ...]
    last: Mapping[str, WindowTold]

    @property
    def window(self) -> Window | None:
        """The window that was told last, whoever was told; None where nobody was, or called off."""
        return telling_window(max(self.last.values(), key=lambda row: row.told_at, default=None))

    @property
    def to_ring(self) -> tuple[Recipient, ...]:
        """Those whom no mail reaches."""
        failed = {to for to, row in self.last.items() if row.has_failed}
        return tuple(r for r in self.recipients if not r.has_mail or r.to in failed)


@dataclass(frozen=True)
class WindowDue:
    """Something that one recipient is to be told now; window is None where nobody comes any more.

    after: the number of what the person was told last, 0 for nothing.
    """

    job_id: int
    day: date
    to: str
    window: Window | None
    after: int


def recipients_of(job: Job, stopped: Collection[str] = ()) -> tuple[Recipient, ...]:
    """Tell who is told of arrivals at a house: the site's superintendent, and who lives there."""
    found = []
    person = job.site.superintendent
    if person is not None:
        found.append(
            Recipient(To.SUPERINTENDENT, person.name, person.email, person.phone, person.language)
        )
    if job.owner_name:
        found.append(
            Recipient(
                To.OWNER, job.owner_name, job.owner_email, job.owner_phone, job.owner_language
            )
        )
    wants_none = frozenset(stopped)
    return tuple(
        Recipient(r.to, r.name, r.email, r.phone, r.language, r.email.lower() in wants_none)
        for r in found
    )


def stopped_among(jobs: Iterable[Job]) -> frozenset[str]:
    """Return of the houses' mail addresses those whose owners stopped mail; one statement."""
    emails = {r.email.strip().lower() for job in jobs for r in recipients_of(job)} - {""}
    stopped = MailAddress.objects.filter(email__in=emails, stopped_at__isnull=False)
    return frozenset(stopped.values_list("email", flat=True))


def last_tellings(rows: "QuerySet[WindowTold]") -> dict[Key, WindowTold]:
    """Return of some tellings the last of each house, day and recipient; one statement."""
    in_order = rows.select_related("mail", "job").order_by("number")
    return {(row.job_id, row.day, row.to): row for row in in_order}


def tellings_of(jobs: Sequence[Job], day: date) -> dict[int, Telling]:
    """Tell pages whom to tell of arrivals at houses on a day, and what was told; two statements.

    jobs: with site and superintendent loaded.
    """
    stopped = stopped_among(jobs)
    last = last_tellings(WindowTold.objects.filter(job__in=[job.pk for job in jobs], day=day))
    return {
        job.pk: Telling(
            recipients_of(job, stopped),
            {to: row for (job_id, _day, to), row in last.items() if job_id == job.pk},
        )
        for job in jobs
    }


def telling_window(row: WindowTold | None, branch: Branch | None = None) -> Window | None:
    """Return the window of a telling, in the zone of a branch if one is named; None for no crew."""
    if row is None or row.from_at is None or row.to_at is None:
        return None
    zone = ZoneInfo(branch.time_zone) if branch else UTC
    return Window(row.from_at.astimezone(zone), row.to_at.astimezone(zone))


def planned_window(row: WindowTold) -> Window | None:
    """Return the window of the posted week at the moment of a telling."""
    if row.planned_from_at is None or row.planned_to_at is None:
        return None
    return Window(row.planned_from_at, row.planned_to_at)


def late_window(branch: Branch, expected_at: datetime, now: datetime) -> Window:
    """Return the window to tell of a crew that is expected at another time than was told.

    It begins no earlier than the half hour that has begun.
    """
    local = expected_at.astimezone(ZoneInfo(branch.time_zone))
    window = arrival_window(local, branch.window_before_minutes, branch.window_after_minutes)
    begun = arrival_window(now.astimezone(local.tzinfo), 0, 0).from_at
    return Window(max(window.from_at, begun), window.to_at)


def windows_due(branch: Branch, now: datetime) -> list[WindowDue]:
    """Return what is to be told by mail of today's and the next working day's visits of a branch.

    The day before from the hour of the digests on; at once where the posted week changed what was
    told, or sends a crew today of which nobody was told. Never at night, never what is over or
    whom no mail reaches. A constant number of statements.
    """
    wall = now.astimezone(ZoneInfo(branch.time_zone)).time()
    if not FIRST_HOUR <= wall <= LAST_HOUR:
        return []
    days = _days(branch, now)
    facts = list(Fact.objects.filter(crew__branch=branch, day=days[0]))
    visits = _visits(branch, days, facts, now)
    last = last_tellings(WindowTold.objects.filter(job__site__branch=branch, day__in=days))
    at = _At(now, days[0], wall >= settings.DIGEST_AT, last, _reached(facts))
    found = at.of_visits(visits, stopped_among(visit.job for visit in visits))
    return [*found, *at.called_off(visits)]


@dataclass(frozen=True)
class _At:
    """What is known at a moment: what was told, and which houses a crew has reached today."""

    now: datetime
    today: date
    is_evening: bool
    last: Mapping[Key, WindowTold]
    reached: frozenset[int]

    def of_visits(self, visits: Iterable[PostedVisit], stopped: frozenset[str]) -> list[WindowDue]:
        """Return arrivals that somebody who can be mailed does not know, or knows wrongly."""
        return [
            WindowDue(
                visit.job.pk,
                visit.day,
                recipient.to,
                self._window(visit),
                self._after(visit, recipient.to),
            )
            for visit in visits
            if not self._is_over(visit)
            for recipient in recipients_of(visit.job, stopped)
            if recipient.has_mail and self._is_news(visit, recipient.to)
        ]

    def called_off(self, visits: Iterable[PostedVisit]) -> list[WindowDue]:
        """Return arrivals that were told and are on no posted week any more."""
        coming = {(visit.job.pk, visit.day) for visit in visits}
        return [
            WindowDue(row.job_id, row.day, row.to, None, row.number)
            for row in self.last.values()
            if (row.job_id, row.day) not in coming and self._stands(row)
        ]

    def _window(self, visit: PostedVisit) -> Window:
        """Return the plan's window; of a day on which something was said, the one to expect."""
        if visit.expected_at is None:
            return visit.window
        return late_window(visit.branch, visit.expected_at, self.now)

    def _after(self, visit: PostedVisit, to: str) -> int:
        row = self.last.get((visit.job.pk, visit.day, to))
        return row.number if row else 0

    def _is_news(self, visit: PostedVisit, to: str) -> bool:
        row = self.last.get((visit.job.pk, visit.day, to))
        if row is None:
            return self.is_evening or visit.day == self.today
        return visit.window not in (telling_window(row), planned_window(row))

    def _is_over(self, visit: PostedVisit) -> bool:
        is_reached = visit.day == self.today and visit.job.pk in self.reached
        is_open = visit.job.state == Job.State.OPEN
        return is_reached or not is_open or self._window(visit).to_at <= self.now

    def _stands(self, row: WindowTold) -> bool:
        """Tell whether somebody who was written to still waits for a crew at a house to be done."""
        window = telling_window(row)
        if window is None or row.mail is None or row.job.state != Job.State.OPEN:
            return False
        is_reached = row.day == self.today and row.job_id in self.reached
        return window.to_at > self.now and not is_reached


def _days(branch: Branch, now: datetime) -> tuple[date, date]:
    today = local_date(branch, now)
    return today, branch_calendar(branch).next_working(today)


def _visits(
    branch: Branch, days: Collection[date], facts: Sequence[Fact], now: datetime
) -> list[PostedVisit]:
    """Return the posted visits; today's with the arrival to expect where something was said."""
    said: dict[tuple[int, date], list[DayFact]] = {}
    for fact in facts:
        said.setdefault((fact.crew_id, fact.day), []).append(
            DayFact(str(fact.pk), fact.kind, fact.happened_at, fact.job_id, fact.step_kind)
        )

    def so_far(crew_day: CrewDay, drives: Drives) -> DayTimes | None:
        of_day = said.get((crew_day.crew_id, crew_day.date))
        if of_day is None:
            return None
        progress = day_progress(_plan(crew_day), of_day)
        return crew_day_times(crew_day, drives, progress=progress, now=now)

    posted = CrewDay.objects.posted().filter(crew__branch=branch, date__in=days)
    return visits_of(clocked(posted), so_far)


def _plan(crew_day: CrewDay) -> DayPlan:
    """Return what the day's progress is told by; what is to be seen first changes no time."""
    stops = (
        PlannedStop(
            stop.job_id,
            tuple(PlannedStep(part.step.kind, part.minutes) for part in stop.parts.all()),
        )
        for stop in crew_day.stops.all()
    )
    return DayPlan(crew_day.crew_id, crew_day.date, tuple(stops))


def _reached(facts: Iterable[Fact]) -> frozenset[int]:
    return frozenset(fact.job_id for fact in facts if fact.job_id and fact.kind in WAS_THERE)
