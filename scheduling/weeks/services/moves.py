"""Moves by hand: each is judged by the planner's own judge before it is saved; solves nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from contractor.events import Actor
from contractor.models import Branch, Crew
from contractor.workdays import IsoWeek, parse_iso_week
from jobs.plan_ids import crew_plan_id, job_plan_id, step_plan_id
from scheduling.gather.gathered import Gathered, GatherError, gather
from scheduling.models import Stop, Week
from scheduling.planning.edit.move import PlanEdit, steps_put, steps_taken_off
from scheduling.planning.placing import placed_steps
from scheduling.weeks.services.drafts import (
    DRAFT,
    POSTED,
    draft_write,
    week_changed,
    week_event,
    week_of,
    week_revise,
    weeks_touched,
)
from scheduling.weeks.services.refusals import NotThere, StopMoveRefused

MOST_WEEKS = 6


@dataclass(frozen=True)
class Moved:
    """What a move changed: the plan's costs in cents before and after, and the weeks' labels."""

    cost_before: int
    cost_after: int
    costs_before: Mapping[str, int]
    costs_after: Mapping[str, int]
    weeks: tuple[str, ...]


@dataclass(frozen=True)
class _Asked:
    """Who asks for a move, of which branch, when, and which revisions the page showed."""

    actor: Actor
    branch: Branch
    expected: Mapping[str, int]
    now: datetime
    today: date


@dataclass(frozen=True)
class _Desk:
    """The weeks that a move may touch, with their revisions, and the problem it is judged by."""

    asked: _Asked
    weeks: Mapping[IsoWeek, Week]
    gathered: Gathered

    def save(self, change: PlanEdit, verb: str, what: Mapping[str, object]) -> Moved:
        """Save a change that breaks no rule; MoveRefused says what another would break."""
        if not change.is_clean:
            reasons = [self.gathered.names.objection(found) for found in change.new]
            raise StopMoveRefused(gettext("That breaks a rule."), tuple(dict.fromkeys(reasons)))
        asked = self.asked
        touched = weeks_touched(self.gathered, change.plan)
        for iso in touched:
            week = self.weeks[iso]
            week_revise(week, asked.expected.get(week.label, week.revision))
            draft_write(
                week=week,
                gathered=self.gathered,
                plan=change.plan,
                today=asked.today,
                now=asked.now,
            )
            week_event(actor=asked.actor, now=asked.now, verb=verb, week=week, what=dict(what))
        return Moved(
            cost_before=change.before.total,
            cost_after=change.after.total,
            costs_before=change.before.costs,
            costs_after=change.after.costs,
            weeks=tuple(str(iso) for iso in touched),
        )


def stop_move(
    *,
    actor: Actor,
    branch: Branch,
    stop_id: int,
    crew: Crew,
    day: date,
    expected: Mapping[str, int],
    now: datetime,
    today: date,
) -> Moved:
    """Give a stop, with all parts of its steps, to a crew from a day on.

    `expected` holds the revisions of the weeks that the page showed, by label. Long steps are
    divided anew and the drive is put into its shortest order. Raises WeekChanged, NotThere, or
    MoveRefused with the rules that the move would break; then nothing is changed.
    """
    with transaction.atomic():
        _refuse_gone_by(day, today)
        _expect(branch, expected)
        stop = _stop(branch, stop_id, today)
        asked = _Asked(actor, branch, expected, now, today)
        desk = _desk(asked, [*_weeks_of(stop, today), IsoWeek.of(day)])
        steps = _steps(desk, stop)
        index = _place(desk, crew, day)
        change = steps_put(
            desk.gathered.problem, desk.gathered.plan, steps, crew_plan_id(crew.pk), index
        )
        what = {"job": stop.job_id, "crew": crew.pk, "day": day.isoformat(), "steps": steps}
        return desk.save(change, "stop moved", what)


def stop_take_off(
    *,
    actor: Actor,
    branch: Branch,
    stop_id: int,
    expected: Mapping[str, int],
    now: datetime,
    today: date,
) -> Moved:
    """Take a stop off the plan, all parts of its steps and the job's later steps with it.

    Raises as `stop_move` does.
    """
    with transaction.atomic():
        _expect(branch, expected)
        stop = _stop(branch, stop_id, today)
        asked = _Asked(actor, branch, expected, now, today)
        desk = _desk(asked, _weeks_of_job(stop, today))
        steps = [step_plan_id(part.step_id) for part in stop.parts.all()]
        change = steps_taken_off(desk.gathered.problem, desk.gathered.plan, steps)
        return desk.save(change, "stop taken off", {"job": stop.job_id, "steps": steps})


def stop_place(
    *,
    actor: Actor,
    branch: Branch,
    job_id: int,
    crew: Crew,
    day: date,
    expected: Mapping[str, int],
    now: datetime,
    today: date,
) -> Moved:
    """Place a job from the shelf with a crew from a day on: as many of its steps as fit, in order.

    Raises as `stop_move` does, MoveRefused with the hold-up where the job cannot be placed.
    """
    with transaction.atomic():
        _refuse_gone_by(day, today)
        _expect(branch, expected)
        desk = _desk(_Asked(actor, branch, expected, now, today), [IsoWeek.of(day)])
        steps = _unplaced(desk.gathered, job_id)
        index = _place(desk, crew, day)
        change = _longest(desk.gathered, steps, crew_plan_id(crew.pk), index)
        what = {"job": job_id, "crew": crew.pk, "day": day.isoformat()}
        return desk.save(change, "job placed", what)


def _refuse_gone_by(day: date, today: date) -> None:
    if day < today:
        raise StopMoveRefused(gettext("That day has gone by."))


def _expect(branch: Branch, expected: Mapping[str, int]) -> None:
    """Refuse before anything else when a week is not as the page showed it."""
    for week in Week.objects.filter(branch=branch):
        if week.revision != expected.get(week.label, week.revision):
            raise week_changed(week)


def _stop(branch: Branch, stop_id: int, today: date) -> Stop:
    """Return the stop, if it is in the version of its week that counts."""
    stop = (
        Stop.objects.filter(
            pk=stop_id,
            crew_day__version__week__branch=branch,
            crew_day__version__state__in=(DRAFT, POSTED),
        )
        .select_related("crew_day__version__week", "job__site")
        .prefetch_related("parts")
        .first()
    )
    if stop is None or _is_covered(stop):
        raise NotThere(gettext("This stop is not on the plan any more."))
    _refuse_gone_by(stop.crew_day.date, today)
    return stop


def _is_covered(stop: Stop) -> bool:
    version = stop.crew_day.version
    return version.state == POSTED and version.week.versions.filter(state=DRAFT).exists()


def _weeks_of(stop: Stop, today: date) -> list[IsoWeek]:
    """Return the weeks from today on that hold any part of the stop's steps."""
    return _weeks_of_steps([part.step_id for part in stop.parts.all()], stop, today)


def _weeks_of_job(stop: Stop, today: date) -> list[IsoWeek]:
    steps = stop.job.steps.values_list("pk", flat=True)
    return _weeks_of_steps(list(steps), stop, today)


def _weeks_of_steps(steps: Sequence[int], stop: Stop, today: date) -> list[IsoWeek]:
    days = Stop.objects.filter(
        parts__step__in=steps,
        crew_day__version__state__in=(DRAFT, POSTED),
        crew_day__date__gte=today,
    ).values_list("crew_day__date", flat=True)
    return [IsoWeek.of(day) for day in (stop.crew_day.date, *days)]


def _desk(asked: _Asked, needed: Sequence[IsoWeek]) -> _Desk:
    """Read the weeks from the first to the last that is needed or was shown."""
    shown = [week for week in _parsed(asked.expected) if week >= IsoWeek.of(asked.today)]
    first, last = min([*needed, *shown]), max([*needed, *shown])
    count = (last.monday - first.monday).days // 7 + 1
    if count > MOST_WEEKS:
        raise StopMoveRefused(gettext("That is too far away to be judged in one go."))
    isos = [first.plus(number) for number in range(count)]
    weeks = {iso: week_of(asked.branch, iso) for iso in isos}
    try:
        gathered = gather(branch=asked.branch, first=first, weeks=count, today=asked.today)
    except GatherError as error:
        raise StopMoveRefused(str(error)) from error
    return _Desk(asked, weeks, gathered)


def _parsed(expected: Mapping[str, int]) -> list[IsoWeek]:
    return [parse_iso_week(label) for label in expected]


def _steps(desk: _Desk, stop: Stop) -> list[str]:
    known = desk.gathered.problem.place_of_step
    steps = [step_plan_id(part.step_id) for part in stop.parts.all()]
    missing = [step for step in steps if step not in known]
    if missing:
        text = gettext("%(job)s is not to be planned any more; it can only be taken off.")
        raise StopMoveRefused(text % {"job": str(stop.job)})
    return sorted(steps, key=lambda step: known[step][1])


def _place(desk: _Desk, crew: Crew, day: date) -> int:
    """Return the day's number, once it is sure that the branch works and the crew can go out."""
    index = desk.gathered.day_index(day)
    if index is None:
        raise StopMoveRefused(
            desk.gathered.names.say(f"{desk.gathered.branch} is closed on {day}.")
        )
    if crew_plan_id(crew.pk) not in desk.gathered.problem.crew_by_id:
        raise StopMoveRefused(gettext("%(crew)s cannot be sent out.") % {"crew": crew.name})
    return index


def _unplaced(gathered: Gathered, job_id: int) -> list[str]:
    job = gathered.problem.job_by_id.get(job_plan_id(job_id))
    if job is None:
        held = (entry for entry in gathered.held if entry.outlook.job.pk == job_id)
        entry = next(held, None)
        if entry is None:
            raise NotThere(gettext("This job has nothing left to be placed."))
        raise StopMoveRefused(gettext("This job is held up."), (entry.sentence,))
    placed = placed_steps(gathered.plan)
    steps = [step.id for step in job.steps if step.id not in placed]
    if not steps:
        raise NotThere(gettext("This job has nothing left to be placed."))
    return steps


def _longest(gathered: Gathered, steps: Sequence[str], crew: str, day: int) -> PlanEdit:
    """Return the change that places the most steps, or the refusal of the first alone."""
    for count in range(len(steps), 0, -1):
        change = steps_put(gathered.problem, gathered.plan, steps[:count], crew, day)
        if change.is_clean:
            break
    return change
