"""What the office does next about crews that are out, the most urgent first; knows no Django."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum

from scheduling.progress.clock import DayTimes, Window
from scheduling.progress.lateness import Arrival, Due, arrivals, next_due
from scheduling.progress.stand import ActionKind, DayProgress, StepProgress, StopProgress

# A told time that ends within this goes before everything but a crew that stands idle; what a
# phone keeps longer than the other is asked for (common practice, no source).
SOON = timedelta(minutes=30)
KEPT_LONG = timedelta(minutes=30)
# A figure is asked about where it is under half or over twice what was planned, and off by more
# than these: a slip of the thumb is a digit too many or too few (common practice, no source).
TIMES_OFF = 2
MINUTES_OFF = 30
BAGS_OFF = 5


class Need(StrEnum):
    """What is to be done, in the order of urgency: who stands idle comes first, paper last."""

    TURNED_AWAY = "turned_away"
    NOT_TRUE = "not_true"
    PROPOSAL = "proposal"
    WINDOW_SOON = "window_soon"
    NOT_HEARD = "not_heard"
    WINDOW = "window"
    UNTOLD = "untold"
    LATE_HOME = "late_home"
    LEFT_OUT = "left_out"
    FIGURE = "figure"
    UNSAID = "unsaid"
    UNSENT = "unsent"


ORDER = tuple(Need)


class Proposal(StrEnum):
    """How far the plan of the rest of the day has come that a turned-away crew asked for."""

    NONE = "none"
    WORKING = "working"
    WAITING = "waiting"
    DECIDED = "decided"
    FAILED = "failed"


@dataclass(frozen=True)
class Away:
    """A crew that was turned away, by its fact: whether somebody saw it, and its proposal."""

    fact: str
    job: int
    at: datetime
    is_seen: bool
    proposal: Proposal = Proposal.NONE


@dataclass(frozen=True)
class PhoneReport:
    """What a phone said at its last report that it still keeps; `heard_at` may be later."""

    phone: int
    unsent: int
    unsent_photos: int
    reported_at: datetime | None
    heard_at: datetime


@dataclass(frozen=True)
class LeftOut:
    """A fact that changed nothing beyond being kept."""

    fact: str
    job: int | None
    at: datetime


@dataclass(frozen=True)
class CrewNow:
    """A crew-day as it stands: times as planned, by what was said, and as expected at `now`.

    latest_at: the end of the usual day with its overtime. corrected: facts whose figures the
    office has looked at. untold: houses where somebody is to be rung who knows no time yet.
    is_over: the day has gone by, so nobody is rung any more.
    """

    crew: int
    progress: DayProgress
    planned: DayTimes
    said: DayTimes
    expected: DayTimes
    latest_at: datetime
    told: Mapping[int, Window] = field(default_factory=dict)
    aways: tuple[Away, ...] = ()
    phones: tuple[PhoneReport, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    name: str = ""
    corrected: frozenset[str] = frozenset()
    untold: frozenset[int] = frozenset()
    is_over: bool = False

    @property
    def arrivals(self) -> tuple[Arrival, ...]:
        """When it arrives where, in the order in which it drives now."""
        return arrivals(self.planned, self.expected, self.told)


@dataclass(frozen=True)
class Todo:
    """One thing to do about a crew: why, about which house, since or by when.

    at: what to order by: since when it has been so, or by when something told ends.
    """

    need: Need
    crew: int
    at: datetime
    job: int | None = None
    fact: str = ""
    step: str = ""
    phone: int | None = None
    due: Due | None = None
    figure: str = ""
    minutes: int = 0
    arrive_at: datetime | None = None


def what_next(crews: Iterable[CrewNow], now: datetime) -> tuple[Todo, ...]:
    """Return what to do about all crews of a day, the most urgent first; the order is total."""
    known = {crew.crew: crew for crew in crews}
    found = [todo for crew in known.values() for todo in _of_crew(crew, now)]

    def urgency(todo: Todo) -> tuple[object, ...]:
        return ORDER.index(todo.need), todo.at, known[todo.crew].name, *_place(todo)

    return tuple(sorted(found, key=urgency))


def silence_of(crew: CrewNow, now: datetime) -> Due | None:
    """Return what a crew should have said and did not; None while there is time."""
    due = next_due(crew.progress, crew.said)
    is_asked = not crew.is_over and crew.progress.next_action.action != ActionKind.TURN_AWAY
    return due if due is not None and is_asked and due.is_overdue(now) else None


def odd_figures(stop: StopProgress) -> Iterator[tuple[StepProgress, str]]:
    """Yield the finished steps of a visit whose minutes or bags are far from what was planned."""
    for step in stop.steps:
        if step.finished is None or step.planned is None:
            continue
        what = step.finished.what
        whole = bool(what.get("whole", True))
        if _is_odd(what.get("minutes"), step.planned.minutes, MINUTES_OFF, whole):
            yield step, "minutes"
        if _is_odd(what.get("bags"), step.planned.bags, BAGS_OFF, whole):
            yield step, "bags"


def _place(todo: Todo) -> tuple[int, int, str, str, str]:
    return (todo.crew, todo.job or 0, todo.step, todo.figure, todo.fact)


def _of_crew(crew: CrewNow, now: datetime) -> Iterator[Todo]:
    yield from _turned_away(crew)
    yield from _paper(crew)
    if crew.is_over:
        yield from _unsaid(crew)
    else:
        yield from _on_the_road(crew, now)
    for phone in crew.phones:
        reported = phone.reported_at
        is_keeping = phone.unsent or phone.unsent_photos
        if reported and is_keeping and (crew.is_over or now - reported > KEPT_LONG):
            yield Todo(Need.UNSENT, crew.crew, reported, phone=phone.phone)


def _turned_away(crew: CrewNow) -> Iterator[Todo]:
    """Yield one thing for a turned-away crew: first to be seen, then its proposal decided on."""
    for away in crew.aways:
        if not away.is_seen:
            yield Todo(Need.TURNED_AWAY, crew.crew, away.at, away.job, away.fact)
        elif away.proposal == Proposal.WAITING:
            yield Todo(Need.PROPOSAL, crew.crew, away.at, away.job, away.fact)


def _on_the_road(crew: CrewNow, now: datetime) -> Iterator[Todo]:
    """Watch a crew that is out. Where it is silent, nobody is told new times for want of word."""
    held = crew.progress.next_action
    if held.action == ActionKind.TURN_AWAY:
        yield Todo(Need.NOT_TRUE, crew.crew, _last_word(crew), held.job, step=held.step)
    due = silence_of(crew, now)
    if due is not None:
        yield Todo(Need.NOT_HEARD, crew.crew, due.at, due.job, step=due.step, due=due)
    times = crew.expected if due is None else crew.said
    for arrival in arrivals(crew.planned, times, crew.told):
        if not arrival.is_said:
            yield from _to_tell(crew, arrival, now)
    if due is None and held.action != ActionKind.DONE and times.ends_at > crew.latest_at:
        over = int((times.ends_at - crew.latest_at).total_seconds() // 60)
        yield Todo(Need.LATE_HOME, crew.crew, crew.latest_at, minutes=over)


def _last_word(crew: CrewNow) -> datetime:
    current = crew.progress.current
    return (current.last_at if current else None) or crew.planned.starts_at


def _to_tell(crew: CrewNow, arrival: Arrival, now: datetime) -> Iterator[Todo]:
    """Yield a told time that will not be kept, or a time that nobody was told.

    Where the crew comes too early, time is up when it comes, else when the told time ends.
    """
    told, arrive_at = arrival.window, arrival.arrive_at
    if told is not None and arrival.breaks_window:
        ends_at = min(told.to_at, arrive_at)
        need = Need.WINDOW_SOON if ends_at - now <= SOON else Need.WINDOW
        yield Todo(need, crew.crew, ends_at, arrival.job, arrive_at=arrive_at)
    elif arrival.job in crew.untold:
        yield Todo(Need.UNTOLD, crew.crew, arrive_at, arrival.job, arrive_at=arrive_at)


def _paper(crew: CrewNow) -> Iterator[Todo]:
    for fact in crew.left_out:
        yield Todo(Need.LEFT_OUT, crew.crew, fact.at, fact.job, fact.fact)
    for stop in (*crew.progress.stops, *crew.progress.others):
        for step, figure in odd_figures(stop):
            said = step.finished
            if said is not None and said.id not in crew.corrected:
                yield Todo(
                    Need.FIGURE, crew.crew, said.at, stop.job, said.id, step.kind, figure=figure
                )


def _unsaid(crew: CrewNow) -> Iterator[Todo]:
    """Yield the houses of a day gone by of whose end nothing was said: figures are asked for."""
    for stop in crew.progress.stops:
        if not stop.has_ended:
            yield Todo(Need.UNSAID, crew.crew, crew.planned.of(stop.job).leave_at, stop.job)


def _is_odd(said: object, planned: float | None, off: float, whole: bool) -> bool:
    """Tell whether a figure is far off; of a part of the step, only when it is too much."""
    if not isinstance(said, int | float) or not planned or abs(said - planned) < off:
        return False
    return said > TIMES_OFF * planned or (whole and said * TIMES_OFF < planned)
