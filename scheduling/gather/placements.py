"""What the weeks hold of each step, before, inside and after the days planned; writes nothing."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.db.models import FilteredRelation, Q

from contractor.models import Branch
from contractor.workdays import IsoWeek
from jobs.models import Job
from scheduling.gather.away import not_done
from scheduling.gather.placed import Placement
from scheduling.models import Part, Week, WeekVersion

SEEN = (WeekVersion.State.DRAFT, WeekVersion.State.POSTED)


@dataclass(frozen=True)
class WeekRow:
    """A week of the branch: its revision and which versions it has."""

    pk: int
    week: IsoWeek
    revision: int
    states: frozenset[str]

    @property
    def has_draft(self) -> bool:
        """Whether the office has a draft of it."""
        return WeekVersion.State.DRAFT in self.states

    @property
    def has_posted(self) -> bool:
        """Whether crews and builders see it."""
        return WeekVersion.State.POSTED in self.states


@dataclass(frozen=True)
class Placements:
    """The parts that count, and those that crews and builders see.

    Of a week with a draft the days to come count as drafted; days gone by count as posted.
    """

    effective: tuple[Placement, ...]
    posted: tuple[Placement, ...]


def weeks_read(branch: Branch) -> dict[IsoWeek, WeekRow]:
    """Return every week of the branch that anybody has touched; one query."""
    rows = (
        Week.objects.filter(branch=branch)
        .annotate(seen=FilteredRelation("versions", condition=Q(versions__state__in=SEEN)))
        .values_list("pk", "iso_year", "iso_week", "revision", "seen__state")
    )
    found: dict[IsoWeek, WeekRow] = {}
    for pk, year, number, revision, state in rows:
        week = IsoWeek(year, number)
        states = found[week].states if week in found else frozenset()
        found[week] = WeekRow(pk, week, revision, states | ({state} if state else set()))
    return found


def placements_read(
    branch: Branch, weeks: Iterable[WeekRow], today: date, since: date
) -> Placements:
    """Return the branch's placements: all of its open jobs, of other jobs those from `since` on.

    Where a crew was turned away on a day gone by, what was posted there counts for nothing. Takes
    one query.
    """
    drafted = {row.pk for row in weeks if row.has_draft}
    effective, posted = [], []
    for state, week_id, placement in _rows(branch, today, since):
        is_posted, is_past = state == WeekVersion.State.POSTED, placement.day < today
        if is_posted:
            posted.append(placement)
        if is_posted == (is_past or week_id not in drafted):
            effective.append(placement)
    return Placements(tuple(effective), tuple(posted))


def _rows(branch: Branch, today: date, since: date) -> Iterable[tuple[str, int, Placement]]:
    is_wanted = Q(stop__job__state=Job.State.OPEN) | Q(stop__crew_day__date__gte=since)
    rows = (
        Part.objects.filter(
            is_wanted,
            ~(Q(stop__crew_day__date__lt=today) & not_done()),
            stop__crew_day__version__week__branch=branch,
            stop__crew_day__version__state__in=SEEN,
        )
        .order_by("stop__crew_day__date", "stop__crew_day_id", "stop__position", "step__position")
        .values_list(
            "stop__crew_day__version__state",
            "stop__crew_day__version__week_id",
            "step_id",
            "stop__job_id",
            "stop__crew_day__crew_id",
            "stop__crew_day__date",
            "minutes",
            "step_minutes",
            "step__position",
            "stop__position",
            "stop_id",
            "stop__crew_day_id",
            "step__kind",
        )
    )
    return ((row[0], row[1], Placement(*row[2:])) for row in rows)


@dataclass(frozen=True)
class StepHistory:
    """Where the parts of one step lie: before, inside and after the days planned."""

    before: tuple[Placement, ...] = ()
    inside: tuple[Placement, ...] = ()
    after: tuple[Placement, ...] = ()

    @property
    def share_before(self) -> Fraction:
        """How much of the step is done, or placed, before the days planned."""
        return sum((part.share for part in self.before), Fraction(0))

    @property
    def share_after(self) -> Fraction:
        """How much of the step is placed after the days planned."""
        return sum((part.share for part in self.after), Fraction(0))

    @property
    def share_left(self) -> Fraction:
        """How much of the step is to be placed in the days planned; 0 or less is nothing."""
        return 1 - self.share_before - self.share_after

    @property
    def is_outside(self) -> bool:
        """Whether nothing of the step is left for the days planned."""
        return self.share_left <= 0

    @property
    def end_before(self) -> date | None:
        """The day on which a step ends that is done, or placed, before the days planned."""
        return max(part.day for part in self.before) if self.is_outside and self.before else None

    @property
    def begun_by(self) -> int | None:
        """The crew that has done, or will have done, a part of the step before."""
        return self.before[-1].crew_id if self.before and not self.is_outside else None

    @property
    def goes_on_by(self) -> int | None:
        """The crew whose part within the days planned is followed by one after them."""
        has_both = self.inside and self.after and not self.before and not self.is_outside
        return self.inside[0].crew_id if has_both else None


NO_HISTORY = StepHistory()


def histories(
    placements: Iterable[Placement], days: Sequence[date], last_date: date
) -> dict[int, StepHistory]:
    """Return the history of every placed step against the days planned, by step id.

    `days` are the working days planned, `last_date` the last day of their last week.
    """
    parts: defaultdict[int, list[Placement]] = defaultdict(list)
    for placement in placements:
        parts[placement.step_id].append(placement)
    return {step_id: _history(found, days[0], last_date) for step_id, found in parts.items()}


def _history(parts: list[Placement], first: date, last: date) -> StepHistory:
    return StepHistory(
        before=tuple(part for part in parts if part.day < first or part.is_done),
        inside=tuple(part for part in parts if first <= part.day <= last and not part.is_done),
        after=tuple(part for part in parts if part.day > last),
    )
