"""What a superintendent must be told today: tomorrow's crews, soon, newly owed; changes nothing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from contractor.models import Branch, OutboxMail
from jobs.conditions.words import US
from jobs.localtime import branch_calendar, local_date
from jobs.models import Condition, Digest, Job, Superintendent
from scheduling.arrivals.queries.clock import PostedVisit, visits_on
from scheduling.weeks.queries.planned import posted_days

SOON = timedelta(days=7)
WINDOW = timedelta(hours=4)
WAITING = (Condition.State.OWED, Condition.State.PROMISED)


@dataclass(frozen=True)
class DigestHouse:
    """A house with what is open there, and the day by which it is needed where one is known.

    visit: of a house to which a crew comes on the next working day.
    """

    job: Job
    conditions: tuple[Condition, ...]
    day: date | None = None
    visit: PostedVisit | None = None


@dataclass(frozen=True)
class DigestBranch:
    """What houses of one branch hang on; next_day is the branch's next working day.

    tomorrow: a posted crew comes on next_day. ready: the same, and nothing is open there. soon:
    needed within a week, and nobody promised it in time. new: not owed yet when the last digest
    was written. Nothing is told twice.
    """

    branch: Branch
    next_day: date
    tomorrow: tuple[DigestHouse, ...]
    soon: tuple[DigestHouse, ...]
    new: tuple[DigestHouse, ...]
    ready: tuple[DigestHouse, ...] = ()

    @property
    def visits(self) -> tuple[PostedVisit, ...]:
        """The visits of the next working day."""
        return tuple(house.visit for house in (*self.tomorrow, *self.ready) if house.visit)

    @property
    def houses(self) -> tuple[DigestHouse, ...]:
        """All that is told, the most urgent first."""
        return (*self.tomorrow, *self.soon, *self.new)


@dataclass(frozen=True)
class DigestContent:
    """All that one superintendent is told on a day, by branch; owed: ids of all that is open."""

    day: date
    home: Branch
    branches: tuple[DigestBranch, ...]
    owed: frozenset[int]


def digest_candidates() -> QuerySet[Superintendent]:
    """Return the superintendents with a mail address and an open house."""
    houses = Job.objects.open().filter(site__superintendent=OuterRef("pk"))
    return Superintendent.objects.exclude(email="").filter(Exists(houses)).order_by("pk")


def digest_content(person: Superintendent, now: datetime) -> DigestContent | None:
    """Return what the person must be told at this moment; None if not time, or nothing is due.

    The zone and the working days are those of the branch with most of the person's open houses.
    """
    jobs = _jobs(person)
    if not jobs:
        return None
    home = _home(jobs)
    day = local_date(home, now)
    if not _is_time(home, now) or not branch_calendar(home).is_working(day):
        return None
    known = _last_owed(person)
    coming = posted_days(job.pk for job in jobs)
    branches = {job.site.branch_id: job.site.branch for job in jobs}
    told = tuple(
        _branch_content(
            branch, [j for j in jobs if j.site.branch_id == branch.pk], coming, known, now
        )
        for branch in branches.values()
    )
    owed = frozenset(condition.pk for job in jobs for condition in _waiting(job))
    with_news = tuple(each for each in told if each.houses or each.ready)
    return DigestContent(day, home, with_news, owed) if with_news else None


def _jobs(person: Superintendent) -> list[Job]:
    owed = Condition.objects.filter(needed=True, state__in=WAITING).exclude(owed_by=US)
    jobs = Job.objects.open().filter(site__superintendent=person).order_by("site__name", "unit")
    return list(jobs.select_related("site__branch").prefetch_related(Prefetch("conditions", owed)))


def _home(jobs: Sequence[Job]) -> Branch:
    """Return the branch with most of the houses; of equals the one that is longest there."""
    branches = [job.site.branch for job in jobs]
    counts = {branch.pk: branches.count(branch) for branch in branches}
    return min(branches, key=lambda branch: (-counts[branch.pk], branch.pk))


def _is_time(branch: Branch, now: datetime) -> bool:
    """Tell whether it is late in the afternoon by the clock on the wall there.

    A server that was down meanwhile makes up for it within four hours, never at night.
    """
    wall = now.astimezone(ZoneInfo(branch.time_zone)).replace(tzinfo=None)
    start = datetime.combine(wall.date(), settings.DIGEST_AT)
    return start <= wall < start + WINDOW


def _last_owed(person: Superintendent) -> frozenset[int]:
    """Return what the person was told of, at the latest by a mail that did not die."""
    digests = Digest.objects.filter(superintendent=person)
    last = digests.exclude(mail__state=OutboxMail.State.DEAD).order_by("-day").first()
    return frozenset(last.owed if last else ())


def _branch_content(
    branch: Branch,
    jobs: Iterable[Job],
    coming: dict[int, list[date]],
    known: frozenset[int],
    now: datetime,
) -> DigestBranch:
    today = local_date(branch, now)
    next_day = branch_calendar(branch).next_working(today)
    is_coming = [job.pk for job in jobs if next_day in coming.get(job.pk, ())]
    visits = visits_on(is_coming, next_day)
    tomorrow, soon, new = [], [], []
    for job in jobs:
        waiting = _waiting(job)
        day = next((d for d in coming.get(job.pk, ()) if d > today), job.ready_date)
        if day == next_day and day in coming.get(job.pk, ()):
            tomorrow.append(DigestHouse(job, waiting, day, visits.get(job.pk)))
            continue
        pressing = tuple(c for c in waiting if _is_pressing(c, day, today))
        fresh = tuple(c for c in waiting if c.pk not in known and c not in pressing)
        soon.append(DigestHouse(job, pressing, day))
        new.append(DigestHouse(job, fresh, day))
    ready = tuple(house for house in tomorrow if not house.conditions)
    return DigestBranch(
        branch,
        next_day,
        tomorrow=_with_something(tomorrow),
        soon=_with_something(soon),
        new=_with_something(new),
        ready=ready,
    )


def _with_something(houses: Iterable[DigestHouse]) -> tuple[DigestHouse, ...]:
    told = (house for house in houses if house.conditions)
    return tuple(sorted(told, key=lambda house: (house.day or date.max, str(house.job))))


def _waiting(job: Job) -> tuple[Condition, ...]:
    """Return what is open at a house, what stops work first."""
    gates = Condition.Gate.values
    holding = (condition for condition in job.conditions.all() if condition.holds)
    return tuple(sorted(holding, key=lambda c: (gates.index(c.gate), c.name)))


def _is_pressing(condition: Condition, day: date | None, today: date) -> bool:
    """Tell whether it is needed within a week and promised for no day that is soon enough."""
    if day is None or day > today + SOON:
        return False
    promised = condition.promised_for
    return promised is None or promised < today or promised > day
