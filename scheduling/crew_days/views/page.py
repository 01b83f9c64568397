"""Makes what the crew-day page shows, from the plan and what was said; decides nothing."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from contractor.access import Action, may
from contractor.models import User
from jobs.catalogue.rows import entry_of
from jobs.conditions.states import SEEN_DONE, TAKEN_OVER
from jobs.desk.views.refusal import state_line, state_text
from jobs.houses.cautions import Caution, house_cautions
from jobs.models import Condition
from jobs.readiness.queries.conditions import moves_for
from scheduling.crew_days.queries.days import DayStatus, is_our_own_step
from scheduling.crew_days.views.parts import (
    MainAction,
    NextPresenter,
    PhoneDay,
    PhoneStep,
    PhoneStop,
    ToSee,
)
from scheduling.crew_days.views.phone_words import filled, phone_words
from scheduling.models import Fact
from scheduling.progress import ActionKind as Do
from scheduling.progress import StepProgress, StopProgress, StopState
from scheduling.progress.day import NOT_TRUE, TRUE, WE_DID_IT, ReadyHouse
from scheduling.progress.next_stop import next_stop
from scheduling.weeks.shapes import CrewStop, StripPart

TOLD_BEFORE = ("stop", "law", "block", "warn")
OFFICE = "office"
LINKED = {Do.CHECK: "check", Do.TURN_AWAY: "away", Do.FINISH: "finish"}


def phone_day_of(day: DayStatus, user: User, now: datetime) -> PhoneDay:
    """Return everything of the page but its frame."""
    reader, meal = _Reader(day, user, now), day.page.meal
    stops = tuple(reader.stop(*pair) for pair in enumerate(day.page.stops, start=1))
    return PhoneDay(
        stops=stops,
        main=_main(day, stops),
        next=_next(day, stops),
        notes=tuple(f for f in day.facts if f.kind == Fact.Kind.NOTE and f.job_id is None),
        meal_start=None if meal is None else meal.starts_at.time(),
        meal_end=None if meal is None else meal.ends_at.time(),
    )


def to_see_of(stop: CrewStop, user: User, said: Mapping[int, str]) -> tuple[ToSee, ...]:
    """Return the conditions that today's work waits for, what stops it first."""
    kinds = {part.kind for part in stop.parts}
    return tuple(_to_see(row, user, said) for row in _of_work(stop.conditions, kinds))


class _Reader:
    """Reads one day for one person at one moment."""

    def __init__(self, day: DayStatus, user: User, now: datetime) -> None:
        self.day = day
        self.user = user
        self.now = now
        self.zone = ZoneInfo(day.page.branch.time_zone)
        self.progress = {stop.job: stop for stop in day.progress.stops}

    def stop(self, number: int, stop: CrewStop) -> PhoneStop:
        """Return one stop as it stands."""
        progress = self.progress[stop.job.pk]
        kinds = {part.kind for part in stop.parts}
        items = to_see_of(stop, self.user, progress.answers)
        facts = [fact for fact in self.day.facts if fact.job_id == stop.job.pk]
        return PhoneStop(
            number=number,
            stop=stop,
            progress=progress,
            ready=progress.planned.ready if progress.planned else ReadyHouse.HELD,
            since=self.clock(progress.ended_at or progress.arrived_at or progress.set_out_at),
            steps=tuple(self.step(part, progress) for part in stop.parts),
            to_see=tuple(item for item in items if not item.is_settled),
            seen=tuple(item for item in items if item.is_settled),
            cautions=_cautions(stop, kinds, self.day.page.date),
            left_out=tuple(fact.left_out for fact in facts if fact.left_out),
            notes=tuple(fact for fact in facts if fact.kind == Fact.Kind.NOTE),
            photos=sum(fact.kind == Fact.Kind.PHOTO for fact in facts),
            is_current=self.day.progress.next_action.job == stop.job.pk,
        )

    def step(self, part: StripPart, stop: StopProgress) -> PhoneStep:
        """Return one step of a stop as it stands."""
        progress = next(step for step in stop.steps if step.kind == part.kind)
        return PhoneStep(
            part=part,
            progress=progress,
            is_open=_may_start(progress, stop),
            started=self.clock(progress.started_at),
            ended=self.clock(progress.finished.at if progress.finished else None),
            minutes_so_far=self.minutes_since(progress.started_at),
        )

    def clock(self, moment: datetime | None) -> time | None:
        """Return a moment by the yard's wall clock."""
        return None if moment is None else moment.astimezone(self.zone).time()

    def minutes_since(self, moment: datetime | None) -> int | None:
        """Return whole minutes since a step began; None where nobody said so, or long ago."""
        if moment is None:
            return None
        minutes = round((self.now - moment).total_seconds() / 60)
        return minutes if 0 < minutes <= 1440 else None


def _cautions(stop: CrewStop, kinds: set[str], day: date) -> tuple[Caution, ...]:
    codes = {row.code for row in stop.conditions}
    return tuple(house_cautions(kinds, stop.job.year_built, day=day, conditions=codes))


def _may_start(step: StepProgress, stop: StopProgress) -> bool:
    """Tell whether nothing that anybody has to see first is unseen or found untrue."""
    if stop.state not in (StopState.THERE, StopState.WORKING) or step.started_at is not None:
        return False
    checks = stop.planned.checks if stop.planned else ()
    said = [stop.answers.get(check.condition) for check in checks if step.kind in check.holds]
    return step.finished is None and None not in said and NOT_TRUE not in said


def _of_work(conditions: Iterable[Condition], kinds: set[str]) -> list[Condition]:
    """Return what today's work waits for, what stops it first; not what our steps do."""
    found = [
        condition
        for condition in conditions
        if kinds & set(condition.holds)
        and condition.gate in TOLD_BEFORE
        and not is_our_own_step(condition)
    ]
    return sorted(found, key=lambda condition: TOLD_BEFORE.index(condition.gate))


def _to_see(condition: Condition, user: User, said: Mapping[int, str]) -> ToSee:
    return ToSee(
        condition=condition,
        entry=entry_of(condition),
        state_text=state_text(condition),
        line=state_line(condition.state),
        answers=answers_open(condition, user),
        answer=said.get(condition.pk, ""),
    )


def answers_open(condition: Condition, user: User) -> tuple[str, ...]:
    """Return what the person may say of it; that it is not true may always be said."""
    if not may(user, Action.TELL_FACT):
        return ()
    moves = moves_for(condition, user)
    answers = {TRUE: SEEN_DONE in moves, NOT_TRUE: True, WE_DID_IT: TAKEN_OVER in moves}
    return tuple(answer for answer, is_open in answers.items() if is_open)


def _main(day: DayStatus, stops: tuple[PhoneStop, ...]) -> MainAction:
    """Return the next action in words, with where it is done."""
    do = day.progress.next_action
    words = phone_words()
    stop = next((stop for stop in stops if stop.progress.job == do.job), None)
    if stop is None:
        anchor = OFFICE if do.action == Do.RING else ""
        return MainAction(str(do.action), words[str(do.action)], anchor=anchor)
    steps = {step.part.kind: step.part.name for step in stop.steps}
    left = _left_to_see(stop, do.step)
    key = str(do.action) if do.action != Do.CHECK else ("check_one", "check_many")[left != 1]
    label = filled(words[key], house=stop.name, step=steps.get(do.step, ""), n=left)
    anchor = f"{LINKED[do.action]}-{stop.number}" if do.action in LINKED else ""
    if do.action == Do.FINISH:
        anchor += f"-{do.step}"
    return MainAction(str(do.action), label, do.job, do.step, anchor)


def _left_to_see(stop: PhoneStop, step: str) -> int:
    """Tell how many things nobody has answered for that this step waits for."""
    checks = stop.progress.planned.checks if stop.progress.planned else ()
    return sum(
        step in check.holds and check.condition not in stop.progress.answers for check in checks
    )


def _next(day: DayStatus, stops: tuple[PhoneStop, ...]) -> NextPresenter | None:
    """Tell where to go from the house that the crew was turned away from last."""
    away = [stop for stop in stops if stop.is_turned_away and stop.progress.ended_at]
    if not away:
        return None
    last = max(away, key=lambda stop: (stop.progress.ended_at, -stop.number))
    ready = {stop.progress.job: stop.ready for stop in stops}
    found = next_stop(day.progress.stops, ready, away_from=last.progress.job)
    words = phone_words()
    if found is None:
        return NextPresenter(words["next_none"], last, None)
    stop = next(stop for stop in stops if stop.progress.job == found.job)
    key = "next_reported" if found.ready == ReadyHouse.REPORTED else "next_seen"
    return NextPresenter(filled(words[key], house=stop.name), last, stop)
