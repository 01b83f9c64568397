"""The calls to make: who owes what, gathered by whom to ring, in order of what it puts at risk."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet

from contractor.access import Scope
from contractor.models import Branch
from jobs.catalogue.rows import CONDITION_COLUMNS, condition_of_columns, job_condition
from jobs.conditions.readiness import JobCondition, Marks, line_of, marks
from jobs.conditions.words import US
from jobs.localtime import local_date
from jobs.models import Builder, CallAttempt, Condition, Job, Step, Superintendent
from jobs.plan_ports import stakes_of
from jobs.stakes import Stake

OPEN = (Condition.State.OWED, Condition.State.PROMISED, Condition.State.REPORTED_DONE)
GATES = tuple(Condition.Gate.values)


@dataclass(frozen=True)
class Ask:
    """One thing to ask for: what it holds up, by when, and the visit that hangs on it."""

    condition: Condition
    known: JobCondition
    job: Job
    step_kind: str
    needed_by: date | None
    stake: Stake | None

    @property
    def line(self) -> str:
        """How its mark is drawn: solid, dashed or hatched."""
        return line_of(self.known, self.job.ready_date)

    @property
    def is_reported(self) -> bool:
        """Whether they say that it is done: nothing to ask, only to be seen."""
        return self.condition.state == Condition.State.REPORTED_DONE


@dataclass(frozen=True)
class HouseAsks:
    """A house with what to ask for it, the most pressing first, and what is reported done."""

    job: Job
    asks: tuple[Ask, ...]
    reported: tuple[Ask, ...]
    stakes: tuple[Stake, ...]
    today: date

    @property
    def at_risk_cents(self) -> int:
        """What its visits put at risk."""
        return sum(stake.at_risk_cents for stake in self.stakes)

    @property
    def urgency(self) -> float:
        """What its visits put at risk for each working day left."""
        return sum(stake.urgency for stake in self.stakes)

    @property
    def needed_by(self) -> date | None:
        """The day of the first visit, else the day on which the house is said to be ready."""
        return self.stakes[0].day if self.stakes else self.job.ready_date

    @property
    def is_overdue(self) -> bool:
        """Whether that day has gone by."""
        return self.needed_by is not None and self.needed_by < self.today


@dataclass(frozen=True)
class Call:
    """One person to ring, and everything that the call can settle.

    superintendent: None where the houses have none. last: the last call to the person.
    rests: it was in vain a short while ago.
    """

    superintendent: Superintendent | None
    builder: Builder
    branch: Branch
    houses: tuple[HouseAsks, ...]
    last: CallAttempt | None
    rests: bool

    @property
    def key(self) -> str:
        """Its name within a page."""
        who = self.superintendent
        return f"{self.branch.pk}-{who.pk}" if who else f"{self.branch.pk}-b{self.builder.pk}"

    @property
    def asks(self) -> list[Ask]:
        """Everything to ask for, house by house."""
        return [ask for house in self.houses for ask in house.asks]

    @property
    def at_risk_cents(self) -> int:
        """What all visits that hang on it put at risk."""
        return sum(house.at_risk_cents for house in self.houses)

    @property
    def seen(self) -> int:
        """The number of the last call, 0 for none."""
        return self.last.number if self.last else 0


def calls_list(
    scope: Scope,
    *,
    now: datetime,
    builder_id: int | None = None,
    site_id: int | None = None,
    owed_by: str = "",
) -> list[Call]:
    """Return the calls to make, those that put most at risk for each day left first.

    After those on which visits hang come the houses without a day on the plan, by ready date; at
    the end those who did not answer a short while ago. Statements do not depend on the houses.
    """
    jobs = Job.objects.open().visible_to(scope)
    if builder_id is not None:
        jobs = jobs.filter(site__builder_id=builder_id)
    if site_id is not None:
        jobs = jobs.filter(site_id=site_id)
    owed = _owed(jobs, owed_by)
    stakes = stakes_of(jobs.filter(pk__in=owed), now)
    return sorted(_calls(_houses(jobs, owed, stakes, now), now), key=_order)


def houses_asked(
    jobs: "QuerySet[Job]", stakes: Mapping[int, Sequence[Stake]], now: datetime
) -> list[HouseAsks]:
    """Return what to ask for these houses, where these visits hang on it; three statements."""
    return _houses(jobs, _owed(jobs, ""), stakes, now)


def _houses(
    jobs: "QuerySet[Job]",
    owed: Mapping[int, Sequence[Condition]],
    stakes: Mapping[int, Sequence[Stake]],
    now: datetime,
) -> list[HouseAsks]:
    loaded = _loaded(jobs.filter(pk__in=owed))
    return [_house(job, owed[job.pk], stakes.get(job.pk, ()), now) for job in loaded]


def marks_of(jobs: Iterable[Job]) -> dict[int, Marks]:
    """Tell how far each of these jobs is, as its own page and the week say it; one statement."""
    ready = {job.pk: job.ready_date for job in jobs}
    known: dict[int, list[JobCondition]] = {pk: [] for pk in ready}
    needed = Condition.objects.filter(job__in=ready, needed=True).order_by("job_id", "code")
    for columns in needed.values_list(*CONDITION_COLUMNS, "job_id"):
        known[columns[-1]].append(condition_of_columns(columns[:-1]))
    return {pk: marks(found, ready[pk]) for pk, found in known.items()}


def _owed(jobs: "QuerySet[Job]", owed_by: str) -> dict[int, list[Condition]]:
    """Return what others owe of these jobs, by job."""
    rows = Condition.objects.filter(state__in=OPEN, needed=True, job__in=jobs).exclude(owed_by=US)
    if owed_by:
        rows = rows.filter(owed_by=owed_by)
    found: dict[int, list[Condition]] = {}
    for row in rows:
        found.setdefault(row.job_id, []).append(row)
    return found


def _loaded(jobs: "QuerySet[Job]") -> list[Job]:
    return list(
        jobs.select_related(
            "site__builder", "site__superintendent", "site__branch"
        ).prefetch_related("steps")
    )


def _house(
    job: Job, rows: Sequence[Condition], stakes: Sequence[Stake], now: datetime
) -> HouseAsks:
    steps = [step for step in job.steps.all() if step.needed]
    asks = [_ask(row, job, steps, stakes) for row in rows]
    to_ask = sorted((ask for ask in asks if not ask.is_reported), key=_ask_order)
    hanging = {ask.stake for ask in to_ask if ask.stake}
    return HouseAsks(
        job=job,
        asks=tuple(to_ask),
        reported=tuple(ask for ask in asks if ask.is_reported),
        stakes=tuple(sorted(hanging, key=lambda stake: (stake.day, stake.crew))),
        today=local_date(job.site.branch, now),
    )


def _ask(row: Condition, job: Job, steps: Sequence[Step], stakes: Sequence[Stake]) -> Ask:
    row.job = job  # it is loaded; the row would ask for it again
    known = job_condition(row)
    stake = next((stake for stake in stakes if stake.hangs_on(known)), None)
    held = next((step.kind for step in steps if step.kind in row.holds), "")
    return Ask(row, known, job, held, stake.day if stake else job.ready_date, stake)


def _ask_order(ask: Ask) -> tuple[date, int, str]:
    """Order by what the first visit hangs on, then what stops work before what only tells."""
    day = ask.stake.day if ask.stake else date.max
    return day, GATES.index(ask.condition.gate), ask.condition.code


def _calls(houses: Iterable[HouseAsks], now: datetime) -> list[Call]:
    """Return the houses gathered by the person who runs them for a yard, else by builder."""
    by_person: dict[tuple[int, int | None, int], list[HouseAsks]] = {}
    for house in houses:
        site = house.job.site
        key = (site.branch_id, site.superintendent_id, site.builder_id)
        by_person.setdefault(key, []).append(house)
    last = _last_calls({person for _, person, _ in by_person if person})
    return [_call(found, last, now) for found in by_person.values()]


def _call(houses: list[HouseAsks], last: Mapping[int, CallAttempt], now: datetime) -> Call:
    site = houses[0].job.site
    attempt = last.get(site.superintendent_id or 0)
    rests = attempt is not None and attempt.rest_until is not None and attempt.rest_until > now
    in_order = tuple(sorted(houses, key=_house_order))
    return Call(site.superintendent, site.builder, site.branch, in_order, attempt, rests)


def _last_calls(people: set[int]) -> dict[int, CallAttempt]:
    calls = CallAttempt.objects.newest().filter(superintendent__in=people)
    return {call.superintendent_id: call for call in calls}


def _house_order(house: HouseAsks) -> tuple[bool, float, date, str, int]:
    day = house.needed_by or date.max
    return not house.stakes, -house.urgency, day, str(house.job), house.job.pk


def _order(call: Call) -> tuple[bool, bool, bool, float, date, str]:
    urgency = sum(house.urgency for house in call.houses)
    hanging = [house.needed_by for house in call.houses if house.stakes and house.needed_by]
    days = hanging or [house.needed_by for house in call.houses if house.needed_by]
    who = call.superintendent.name if call.superintendent else call.builder.name
    nothing_to_ask = not call.asks
    return nothing_to_ask, call.rests, not hanging, -urgency, min(days, default=date.max), who
