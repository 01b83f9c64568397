"""A yard's crews as their day goes: plan, facts, clock, phones, what to do; changes nothing."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property

from contractor.access import Scope
from contractor.models import Branch, Crew, CrewMember, Phone
from jobs.localtime import local_date
from jobs.models import Job
from scheduling.arrivals.queries.windows import Telling, tellings_of
from scheduling.crew_days.queries.crew_days import crew_day_pages
from scheduling.crew_days.queries.days import DayStatus, status_of
from scheduling.models import Fact, PlanningRun, TurnedAway
from scheduling.progress import DayProgress, DayTimes
from scheduling.progress.lateness import Arrival, CrewStand, Due, crew_stand
from scheduling.progress.next_stop import NextStop, next_stop
from scheduling.progress.todo import (
    Away,
    CrewNow,
    LeftOut,
    PhoneReport,
    Proposal,
    Todo,
    silence_of,
    what_next,
)
from scheduling.weeks.shapes import CrewDayPage, CrewStop

HEAVY = ("run__problem", "run__best_plan", "run__progress", "run__outcome")
RUN_ENDED_EMPTY = (PlanningRun.State.FAILED, PlanningRun.State.CANCELLED)


@dataclass(frozen=True)
class CrewToday:
    """A crew's posted day as it goes; `heard_at` is when anything reached us from its phones."""

    status: DayStatus
    now: CrewNow
    phones: tuple[Phone, ...]
    aways: tuple[TurnedAway, ...]
    heard_at: datetime | None
    due: Due | None

    @property
    def page(self) -> CrewDayPage:
        """The posted day."""
        return self.status.page

    @property
    def crew(self) -> Crew:
        """Whose day it is."""
        return self.page.crew

    @property
    def progress(self) -> DayProgress:
        """How far it has come."""
        return self.status.progress

    @cached_property
    def stand(self) -> CrewStand:
        """Where the crew is by what it said last."""
        return crew_stand(self.progress)

    @cached_property
    def arrivals(self) -> Mapping[int, Arrival]:
        """When it arrives, by house."""
        return {one.job: one for one in self.now.arrivals}

    @property
    def lead(self) -> CrewMember | None:
        """Whom to ring."""
        members = [one for one in self.crew.members.all() if one.active]
        return next((one for one in members if one.is_lead), None)

    def next_stop(self, away_from: int) -> NextStop | None:
        """Tell where it goes when it was turned away from a house."""
        ready = {stop.job: stop.ready for stop in self.status.plan.stops}
        return next_stop(self.progress.stops, ready, away_from)


@dataclass(frozen=True)
class Today:
    """A yard's day: its crews by name, what to do next, and facts of crews without a posted day.

    jobs: every house that is named, on the plan or not. tellings: of arrivals, by house.
    """

    branch: Branch
    day: date
    now: datetime
    crews: tuple[CrewToday, ...]
    todos: tuple[Todo, ...]
    strays: tuple[Fact, ...]
    jobs: Mapping[int, Job]
    tellings: Mapping[int, Telling]

    @property
    def is_today(self) -> bool:
        """Whether the yard's clock shows this day."""
        return self.day == local_date(self.branch, self.now)

    @property
    def has_facts(self) -> bool:
        """Whether any crew has said anything yet."""
        return bool(self.strays) or any(one.status.facts for one in self.crews)


def today_page(*, scope: Scope, branch: Branch, day: date, now: datetime) -> Today:
    """Return how a day of a yard goes; a constant number of statements."""
    pages = crew_day_pages(scope=scope, branch=branch, day=day)
    facts, tellings = _facts(branch, day), _tellings(pages, day)
    reader = _Reader(
        day=day,
        now=now,
        is_over=day < local_date(branch, now),
        facts=facts,
        phones=_phones(pages, now),
        aways=_aways(branch, day),
        tellings=tellings,
    )
    crews = tuple(reader.crew(page) for page in pages)
    on_plan = {page.crew.pk for page in pages}
    return Today(
        branch=branch,
        day=day,
        now=now,
        crews=crews,
        todos=what_next((crew.now for crew in crews), now),
        strays=tuple(fact for fact in facts if fact.crew_id not in on_plan),
        jobs=_jobs(pages, facts),
        tellings=tellings,
    )


@dataclass(frozen=True)
class _Reader:
    """What was read of a day, for all its crews at once."""

    day: date
    now: datetime
    is_over: bool
    facts: Sequence[Fact]
    phones: Mapping[int, Sequence[Phone]]
    aways: Sequence[TurnedAway]
    tellings: Mapping[int, Telling]

    def crew(self, page: CrewDayPage) -> CrewToday:
        """Return one crew's day from its page."""
        status = status_of(page, (one for one in self.facts if one.crew_id == page.crew.pk))
        phones = tuple(self.phones.get(page.crew.pk, ()))
        aways = tuple(one for one in self.aways if one.fact.crew_id == page.crew.pk)
        now = self._now(status, phones, aways)
        heard = [fact.received_at for fact in status.facts]
        heard += [phone.last_seen_at for phone in phones]
        due = silence_of(now, self.now)
        return CrewToday(status, now, phones, aways, max(heard, default=None), due)

    def _now(
        self, status: DayStatus, phones: Sequence[Phone], aways: Sequence[TurnedAway]
    ) -> CrewNow:
        page, progress = status.page, status.progress
        said = page.clock(progress=progress)
        return CrewNow(
            crew=page.crew.pk,
            name=page.crew.name,
            progress=progress,
            planned=page.times,
            said=said,
            expected=said if self.is_over else page.expected(progress, self.now),
            latest_at=_latest_at(page.branch, page.times),
            told={job: telling.window for job, telling in self.tellings.items() if telling.window},
            untold=frozenset(
                job for job, telling in self.tellings.items() if _knows_nothing(telling)
            ),
            aways=tuple(map(_away, aways)),
            phones=tuple(map(_phone_said, phones)),
            left_out=tuple(
                LeftOut(str(fact.pk), fact.job_id, fact.happened_at)
                for fact in status.facts
                if fact.left_out
            ),
            corrected=frozenset(str(fact.pk) for fact in status.facts if fact.corrections.all()),
            is_over=self.is_over,
        )


def proposal_of(away: TurnedAway) -> Proposal:
    """Tell how far the plan of the rest of the day has come that was asked for."""
    run = away.run
    if run is None:
        return Proposal.FAILED if away.no_plan else Proposal.NONE
    if run.state in PlanningRun.UNDER_WAY:
        return Proposal.WORKING
    if run.state in RUN_ENDED_EMPTY:
        return Proposal.FAILED
    return Proposal.WAITING if run.is_proposal else Proposal.DECIDED


def _away(row: TurnedAway) -> Away:
    fact = row.fact
    return Away(
        str(fact.pk), fact.job_id or 0, fact.happened_at, row.seen_at is not None, proposal_of(row)
    )


def _phone_said(phone: Phone) -> PhoneReport:
    return PhoneReport(
        phone.pk, phone.unsent, phone.unsent_photos, phone.reported_at, phone.last_seen_at
    )


def _latest_at(branch: Branch, planned: DayTimes) -> datetime:
    """Return the end of the usual day with its overtime; the meal comes on top of both."""
    minutes = branch.day_minutes + branch.overtime_minutes + branch.meal_minutes
    return planned.starts_at + timedelta(minutes=minutes)


def _facts(branch: Branch, day: date) -> list[Fact]:
    facts = Fact.objects.filter(crew__branch=branch, day=day)
    rows = facts.select_related("picture", "condition", "crew")
    return list(rows.prefetch_related("corrections"))


def _phones(pages: Iterable[CrewDayPage], now: datetime) -> dict[int, list[Phone]]:
    """Return the phones that are signed in, by the crew of their person."""
    crews = [page.crew.pk for page in pages]
    found: dict[int, list[Phone]] = {}
    phones = Phone.objects.live(now).filter(
        person__crew_member__crew__in=crews, person__crew_member__active=True
    )
    for phone in phones.select_related("person__crew_member").order_by("-last_seen_at", "pk"):
        found.setdefault(phone.person.crew_member.crew_id, []).append(phone)
    return found


def _aways(branch: Branch, day: date) -> list[TurnedAway]:
    rows = TurnedAway.objects.filter(branch=branch, day=day)
    return list(rows.select_related("fact", "run").defer(*HEAVY).order_by("told_at", "fact"))


def _tellings(pages: Iterable[CrewDayPage], day: date) -> dict[int, Telling]:
    return tellings_of([stop.job for page in pages for stop in page.stops], day)


def _knows_nothing(telling: Telling) -> bool:
    """Tell whether somebody whom no mail reaches can be rung and was told no time."""
    return any(
        one.phone and (one.to not in telling.last or telling.last[one.to].has_failed)
        for one in telling.to_ring
    )


def _jobs(pages: Iterable[CrewDayPage], facts: Iterable[Fact]) -> dict[int, Job]:
    """Return the houses of the plan, and others that facts name."""
    stops: Iterable[CrewStop] = (stop for page in pages for stop in page.stops)
    known = {stop.job.pk: stop.job for stop in stops}
    others = {fact.job_id for fact in facts if fact.job_id} - known.keys()
    rows = Job.objects.filter(pk__in=others).select_related("site__builder", "site__superintendent")
    return known | {job.pk: job for job in rows}
