"""The stops of the week page, with drives, marks and what differs from the posted week."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil

from django.utils.translation import gettext

from contractor.workdays import IsoWeek
from jobs.conditions.words import STEP_NAMES
from jobs.models import Job, Step
from jobs.readiness.queries.outlook import JobOutlook, StepOutlook
from scheduling.gather.placed import Placement
from scheduling.gather.rows import YARD, Drives, Rows
from scheduling.weeks.queries.marks import readiness_marks
from scheduling.weeks.shapes import ReadinessMarks, Strip, StripPart

CrewDayKey = tuple[int, date]
# A stop as it is compared with the posted one: job, and minutes by step.
StopLook = tuple[int, tuple[tuple[int, int], ...]]


@dataclass(frozen=True)
class Strips:
    """All stops of some weeks, ready to be shown by crew and day."""

    rows: Rows
    stops: Mapping[CrewDayKey, tuple[tuple[Placement, ...], ...]]
    posted: Mapping[CrewDayKey, frozenset[StopLook]]
    jobs: Mapping[int, Job]
    outlooks: Mapping[int, JobOutlook]
    kinds: Mapping[int, str]
    late_days: Mapping[int, int]
    drives: Drives

    @classmethod
    def of(cls, rows: Rows, shown: Sequence[Placement]) -> "Strips":
        """Return the stops of the weeks that were read; at most two statements more."""
        inside = [part for part in shown if rows.first.monday <= part.day <= rows.last_date]
        outlooks = {outlook.job.pk: outlook for outlook in rows.outlooks}
        jobs = _jobs(outlooks, {part.job_id for part in inside})
        return cls(
            rows=rows,
            stops=_stops(inside),
            posted=_looks(rows.placements.posted),
            jobs=jobs,
            outlooks=outlooks,
            kinds=_kinds(outlooks, {part.step_id for part in inside}),
            late_days=_late_days(rows, shown, outlooks),
            drives=rows.drives([job.site for job in jobs.values()]),
        )

    def of_crew_day(self, crew_id: int, day: date) -> tuple[tuple[Strip, ...], int]:
        """Return the stops of a crew's day in driving order, and the minutes of the drive home."""
        stops = self.stops.get((crew_id, day), ())
        strips, here = [], YARD
        for parts in stops:
            place = self.jobs[parts[0].job_id].site.place
            strips.append(self._strip(parts, self.drives.minutes(here, place)))
            here = place
        return tuple(strips), self.drives.minutes(here, YARD)

    def crew_day_id(self, crew_id: int, day: date) -> int | None:
        """Return the row of a crew's day, where there is one."""
        stops = self.stops.get((crew_id, day))
        return stops[0][0].crew_day_id if stops else None

    def differs(self, crew_id: int, day: date) -> bool:
        """Tell whether a crew's day is not as posted; a week never posted differs in nothing."""
        key = (crew_id, day)
        looks = frozenset(_look(parts) for parts in self.stops.get(key, ()))
        return self._is_posted(day) and looks != self.posted.get(key, frozenset())

    def changes(self, week: IsoWeek) -> int:
        """Return how many stops of a week were added, changed or taken off since it was posted.

        A stop of a house that went from one day or crew to another counts once.
        """
        keys = {key for key in (*self.stops, *self.posted) if IsoWeek.of(key[1]) == week}
        come, gone = Counter[int](), Counter[int]()
        for key in keys:
            if self._is_posted(key[1]):
                looks = frozenset(_look(parts) for parts in self.stops.get(key, ()))
                was = self.posted.get(key, frozenset())
                come.update(job for job, _ in looks - was)
                gone.update(job for job, _ in was - looks)
        return (come | gone).total()

    def _is_posted(self, day: date) -> bool:
        week = self.rows.week_rows.get(IsoWeek.of(day))
        return week is not None and week.has_posted

    def _strip(self, parts: tuple[Placement, ...], drive_minutes: int) -> Strip:
        first = parts[0]
        job = self.jobs[first.job_id]
        chance = self._chance(parts)
        ready = self._readiness(job, parts, chance)
        was = self.posted.get((first.crew_id, first.day), frozenset())
        return Strip(
            stop_id=first.stop_id,
            job_id=job.pk,
            title=str(job),
            builder=job.site.builder.name,
            site=job.site.name,
            drive_minutes=drive_minutes,
            setup_minutes=setup_minutes(job, self.rows.costs.people_per_crew),
            parts=tuple(self._part(part) for part in parts),
            line=ready.line,
            marks=ready.marks,
            chance=chance,
            differs=self._is_posted(first.day) and _look(parts) not in was,
            late_days=self.late_days.get(job.pk, 0),
            promised_date=job.promised_date,
        )

    def _part(self, part: Placement) -> StripPart:
        kind = self.kinds[part.step_id]
        name = gettext(STEP_NAMES[kind])
        return StripPart(part.step_id, kind, name, part.minutes, part.step_minutes)

    def _readiness(self, job: Job, parts: tuple[Placement, ...], chance: float) -> ReadinessMarks:
        outlook = self.outlooks.get(job.pk)
        conditions = outlook.conditions if outlook else ()
        kinds = {self.kinds[part.step_id] for part in parts}
        is_closed = chance < float(self.rows.branch.ready_threshold)
        return readiness_marks(job, conditions, kinds, is_closed=is_closed)

    def _chance(self, parts: tuple[Placement, ...]) -> float:
        """Return the chance that all done at the stop can start; 1 where the day has gone by."""
        outlook = self.outlooks.get(parts[0].job_id)
        if outlook is None or parts[0].day not in self.rows.days:
            return 1.0
        steps = {entry.step.pk: entry for entry in outlook.steps}
        number = self.rows.days.index(parts[0].day)
        known = [steps[part.step_id] for part in parts if part.step_id in steps]
        return min((_step_chance(entry, number) for entry in known), default=1.0)


def setup_minutes(job: Job, people: int) -> int:
    """Return the minutes that a usual crew needs to set up at a job."""
    return ceil(job.setup_person_minutes / max(1, people))


def _step_chance(entry: StepOutlook, number: int) -> float:
    return 0.0 if entry.held_by else 1 - entry.risks[number]


def _stops(parts: Sequence[Placement]) -> dict[CrewDayKey, tuple[tuple[Placement, ...], ...]]:
    by_stop: dict[int, list[Placement]] = {}
    for part in parts:
        by_stop.setdefault(part.stop_id, []).append(part)
    found: dict[CrewDayKey, list[tuple[Placement, ...]]] = {}
    for stop in sorted(by_stop.values(), key=lambda stop: stop[0].position):
        found.setdefault((stop[0].crew_id, stop[0].day), []).append(tuple(stop))
    return {key: tuple(stops) for key, stops in found.items()}


def _looks(parts: Sequence[Placement]) -> dict[CrewDayKey, frozenset[StopLook]]:
    return {key: frozenset(_look(stop) for stop in stops) for key, stops in _stops(parts).items()}


def _look(parts: Sequence[Placement]) -> StopLook:
    return parts[0].job_id, tuple((part.step_id, part.minutes) for part in parts)


def _jobs(outlooks: Mapping[int, JobOutlook], wanted: set[int]) -> dict[int, Job]:
    """Return the jobs by id: open ones are loaded already, the others take one statement."""
    found = {pk: outlook.job for pk, outlook in outlooks.items() if pk in wanted}
    missing = wanted - set(found)
    if missing:
        others = Job.objects.filter(pk__in=missing).select_related("site__builder")
        found |= {job.pk: job for job in others}
    return found


def _kinds(outlooks: Mapping[int, JobOutlook], wanted: set[int]) -> dict[int, str]:
    steps = [entry.step for outlook in outlooks.values() for entry in outlook.steps]
    found = {step.pk: step.kind for step in steps}
    missing = wanted - set(found)
    if missing:
        found |= dict(Step.objects.filter(pk__in=missing).values_list("pk", "kind"))
    return found


def _late_days(
    rows: Rows, shown: Sequence[Placement], outlooks: Mapping[int, JobOutlook]
) -> dict[int, int]:
    """Return how many working days each job that is wholly placed ends past its promised date."""
    last: dict[int, date] = {}
    placed = {part.step_id for part in shown}
    for part in shown:
        last[part.job_id] = max(part.day, last.get(part.job_id, part.day))
    return {
        pk: max(0, rows.work.count(outlook.job.promised_date, last[pk]))
        for pk, outlook in outlooks.items()
        if outlook.job.promised_date
        and pk in last
        and all(entry.step.pk in placed for entry in outlook.steps)
    }
