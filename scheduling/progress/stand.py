"""Where a crew stands in its day and what it does next; a function of the set of facts alone."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from scheduling.progress.day import (
    ARRIVED,
    CHECKED,
    FINISHED,
    NOT_TRUE,
    SET_OUT,
    STARTED,
    TURNED_AWAY,
    DayFact,
    DayPlan,
    PlannedStep,
    PlannedStop,
    ReadyHouse,
)


class StopState(StrEnum):
    """How far a visit has come."""

    TO_COME = "to_come"
    ON_THE_WAY = "on_the_way"
    THERE = "there"
    WORKING = "working"
    FINISHED = "finished"
    TURNED_AWAY = "turned_away"


ENDED = (StopState.FINISHED, StopState.TURNED_AWAY)


class ActionKind(StrEnum):
    """What a crew does next: the one main action of its page."""

    SET_OUT = "set_out"
    ARRIVED = "arrived"
    CHECK = "check"
    TURN_AWAY = "turn_away"
    START = "start"
    FINISH = "finish"
    RING = "ring"
    DONE = "done"


@dataclass(frozen=True)
class NextAction:
    """The next thing to do, at which house, on which kind of step."""

    action: ActionKind
    job: int | None = None
    step: str = ""


@dataclass(frozen=True)
class StepProgress:
    """A step on this day: when it began and ended, and what was said of it at the end."""

    kind: str
    planned: PlannedStep | None
    started_at: datetime | None
    finished: DayFact | None

    @property
    def is_finished(self) -> bool:
        """Whether its end was reported and nothing has begun it again since."""
        if self.finished is None:
            return False
        return self.started_at is None or self.started_at <= self.finished.at

    @property
    def is_working(self) -> bool:
        """Whether it has begun and not ended."""
        return self.started_at is not None and not self.is_finished


@dataclass(frozen=True)
class StopProgress:
    """A visit as it went; `planned` is None where the posted day does not hold the house."""

    job: int
    planned: PlannedStop | None
    state: StopState
    set_out_at: datetime | None
    arrived_at: datetime | None
    ended_at: datetime | None
    last_at: datetime | None
    steps: tuple[StepProgress, ...]
    answers: Mapping[int, str]
    turned_away: DayFact | None

    @property
    def has_ended(self) -> bool:
        """Whether the crew is through with this house for the day."""
        return self.state in ENDED


@dataclass(frozen=True)
class DayProgress:
    """The stops in driving order, then houses that the facts name and the day does not hold."""

    stops: tuple[StopProgress, ...]
    others: tuple[StopProgress, ...]
    next_action: NextAction

    @property
    def current(self) -> StopProgress | None:
        """The house that the crew is at, on the way to, or goes to next; None at the end."""
        return next((stop for stop in self.stops if stop.job == self.next_action.job), None)


def day_progress(plan: DayPlan, facts: Iterable[DayFact]) -> DayProgress:
    """Say how a crew's day stands by what was said of it, in whatever order that came.

    facts: those of the plan's crew and day, each once.
    """
    of_job: dict[int, list[DayFact]] = {}
    for fact in sorted(facts, key=lambda said: said.order):
        if fact.job is not None:
            of_job.setdefault(fact.job, []).append(fact)
    stops = tuple(_stop(stop.job, stop, of_job.pop(stop.job, [])) for stop in plan.stops)
    others = tuple(_stop(job, None, said) for job, said in sorted(of_job.items()))
    return DayProgress(stops, others, _next_action(stops))


def _stop(job: int, planned: PlannedStop | None, facts: Sequence[DayFact]) -> StopProgress:
    steps = _steps(planned, facts)
    away = _turned_away(facts)
    state = _state(planned, facts, steps, away)
    return StopProgress(
        job=job,
        planned=planned,
        state=state,
        set_out_at=_first(facts, SET_OUT),
        arrived_at=_first(facts, ARRIVED, CHECKED, STARTED, FINISHED, TURNED_AWAY),
        ended_at=_ended_at(state, steps, away),
        last_at=max((fact.at for fact in facts), default=None),
        steps=steps,
        answers={
            fact.condition: str(fact.what.get("answer", ""))
            for fact in facts
            if fact.kind == CHECKED and fact.condition is not None
        },
        turned_away=away,
    )


def _first(facts: Sequence[DayFact], *kinds: str) -> datetime | None:
    """Return when the first fact of these kinds happened: who has started must have arrived."""
    return next((fact.at for fact in facts if fact.kind in kinds), None)


def _last(facts: Sequence[DayFact], kind: str, step: str = "") -> DayFact | None:
    found = (fact for fact in reversed(facts) if fact.kind == kind and fact.step == step)
    return next(found, None)


def _steps(planned: PlannedStop | None, facts: Sequence[DayFact]) -> tuple[StepProgress, ...]:
    known = {step.kind: step for step in planned.steps} if planned else {}
    said = (fact.step for fact in facts if fact.kind in (STARTED, FINISHED))
    return tuple(_step(kind, known.get(kind), facts) for kind in dict.fromkeys((*known, *said)))


def _step(kind: str, planned: PlannedStep | None, facts: Sequence[DayFact]) -> StepProgress:
    """Go by the last beginning where a step was begun anew after its end, else by the first."""
    finished = _last(facts, FINISHED, kind)
    again = _last(facts, STARTED, kind)
    of_step = [fact for fact in facts if fact.step == kind]
    is_again = again is not None and finished is not None and again.at > finished.at
    started_at = again.at if again is not None and is_again else _first(of_step, STARTED)
    return StepProgress(kind, planned, started_at, finished)


def _turned_away(facts: Sequence[DayFact]) -> DayFact | None:
    """Return the last time that the crew was turned away, unless it was let in afterwards."""
    away = _last(facts, TURNED_AWAY)
    worked = [fact for fact in facts if fact.kind in (STARTED, FINISHED)]
    if away is None or any(fact.order > away.order for fact in worked):
        return None
    return away


def _state(
    planned: PlannedStop | None,
    facts: Sequence[DayFact],
    steps: Sequence[StepProgress],
    away: DayFact | None,
) -> StopState:
    if away is not None:
        return StopState.TURNED_AWAY
    if steps and all(step.is_finished for step in steps):
        return StopState.FINISHED
    kinds = {fact.kind for fact in facts}
    if kinds & {STARTED, FINISHED}:
        return StopState.WORKING
    if kinds & {ARRIVED, CHECKED}:
        return StopState.THERE
    return StopState.ON_THE_WAY if SET_OUT in kinds else StopState.TO_COME


def _ended_at(
    state: StopState, steps: Sequence[StepProgress], away: DayFact | None
) -> datetime | None:
    if state == StopState.TURNED_AWAY and away is not None:
        return away.at
    if state != StopState.FINISHED:
        return None
    return max(step.finished.at for step in steps if step.finished is not None)


def _next_action(stops: Sequence[StopProgress]) -> NextAction:
    """Go on at the house of which was spoken last, else at the first one left in driving order.

    A crew that was turned away goes where it is likeliest to start, and nowhere on a guess.
    """
    left = [stop for stop in stops if not stop.has_ended]
    if not left:
        return NextAction(ActionKind.RING if _ended_away(stops) else ActionKind.DONE)
    stop = _spoken_of_last(left) or _goes_to(stops, left)
    if stop is None:
        return NextAction(ActionKind.RING)
    if stop.state == StopState.TO_COME:
        return NextAction(ActionKind.SET_OUT, stop.job)
    if stop.state == StopState.ON_THE_WAY:
        return NextAction(ActionKind.ARRIVED, stop.job)
    return _next_at(stop)


def _ended_away(stops: Sequence[StopProgress]) -> bool:
    """Tell whether the house that the crew left last was one that turned it away."""
    ended = [(stop.ended_at, stop.state == StopState.TURNED_AWAY) for stop in stops]
    return max(((at, away) for at, away in ended if at is not None), default=(None, False))[1]


def _goes_to(stops: Sequence[StopProgress], left: Sequence[StopProgress]) -> StopProgress | None:
    if not any(stop.state == StopState.TURNED_AWAY for stop in stops):
        return left[0]
    sure = (ReadyHouse.SEEN, ReadyHouse.REPORTED)
    ready = (stop for how in sure for stop in left if stop.planned and stop.planned.ready == how)
    return next(ready, None)


def _spoken_of_last(stops: Sequence[StopProgress]) -> StopProgress | None:
    begun = [
        (stop.last_at, -number)
        for number, stop in enumerate(stops)
        if stop.last_at is not None and stop.state != StopState.TO_COME
    ]
    return stops[-max(begun)[1]] if begun else None


def _next_at(stop: StopProgress) -> NextAction:
    """End at the house what has begun, see what holds the next step, then start it."""
    working = next((step for step in stop.steps if step.is_working), None)
    if working is not None:
        return NextAction(ActionKind.FINISH, stop.job, working.kind)
    step = next(step for step in stop.steps if not step.is_finished)
    checks = stop.planned.checks if stop.planned else ()
    answers = [stop.answers.get(check.condition) for check in checks if step.kind in check.holds]
    if NOT_TRUE in answers:
        return NextAction(ActionKind.TURN_AWAY, stop.job, step.kind)
    if None in answers:
        return NextAction(ActionKind.CHECK, stop.job, step.kind)
    return NextAction(ActionKind.START, stop.job, step.kind)
