"""Whether a step is ready on a day, and why not; must not know rows, the clock or the plan."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from jobs.conditions import states
from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.conditions.words import GATE_NAMES, HOLDING_GATES, PARTY_NAMES, STATE_NAMES, US, known

# Nobody starts before these are seen done on site, whatever was promised or reported.
SEEN_FIRST_GATES = (states.STOP, states.LAW)


@dataclass(frozen=True)
class JobCondition:
    """A condition of a job as it stands today; `promised` is the first day to rely on it.

    lead_days: working days that whoever owes it usually needs.
    """

    code: str
    name: str
    owed_by: str
    gate: str
    state: str
    holds: tuple[str, ...]
    promised: date | None = None
    lead_days: int = 0

    def __post_init__(self) -> None:
        known("party", [self.owed_by], PARTY_NAMES)
        known("gate", [self.gate], GATE_NAMES)
        known("state", [self.state], STATE_NAMES)
        if self.state == states.PROMISED and self.promised is None:
            raise ValueError(f"condition {self.code}: promised without a date")

    @property
    def is_awaited(self) -> bool:
        """Whether steps wait for it: it can hold one up, and someone other than we owes it."""
        return self.gate in HOLDING_GATES and self.owed_by != US

    @property
    def is_settled(self) -> bool:
        """Whether it counts as true on any day. A stop is never waived and never taken over."""
        if self.gate == states.STOP:
            return self.state in (states.SEEN_DONE, states.REPORTED_DONE)
        return self.state not in (states.OWED, states.PROMISED)

    @property
    def is_proved(self) -> bool:
        """Whether a crew may start on it where only what is seen counts."""
        if self.gate == states.LAW and self.state == states.WAIVED:
            return True
        return self.state == states.SEEN_DONE


@dataclass(frozen=True)
class Readiness:
    """Whether a step can start on a day, if everybody keeps their word.

    How likely that is stands in `chance.Forecast`. reasons: why not, or what it rests on.
    must_be_seen_before_start: codes of stop and law conditions that are not seen done yet; a day
    may be planned on a promise of them, but no crew starts on one.
    """

    ready: bool
    reasons: tuple[Sentence, ...]
    must_be_seen_before_start: tuple[str, ...]


@dataclass(frozen=True)
class Mark:
    """One condition as a mark on a strip: line is solid (true), dashed (a word), hatched (no)."""

    code: str
    name: str
    state: str
    line: str


@dataclass(frozen=True)
class OpenCondition:
    """A condition that is not settled: its name, and how it stands, `owed by builder, no date`."""

    name: str
    how: Sentence

    @property
    def sentence(self) -> Sentence:
        """Both in one sentence."""
        return Sentence("%(name)s: %(how)s", {"name": self.name, "how": self.how})


@dataclass(frozen=True)
class Marks:
    """How far a job or step is: `done` of `total` awaited conditions, and what is still open."""

    done: int
    total: int
    marks: tuple[Mark, ...]
    open: tuple[OpenCondition, ...]

    @property
    def count(self) -> Sentence:
        """How far in words: `4 of 6`."""
        return Sentence(_("%(done)d of %(total)d"), {"done": self.done, "total": self.total})


def step_ready(
    step_kind: str, conditions: Iterable[JobCondition], day: date, ready_date: date | None
) -> Readiness:
    """Tell whether the step can start on the morning of `day`.

    A condition is true when seen done, reported done, waived or taken over; promised, from the
    promised date on; owed, from the job's ready date on, which is an unconfirmed promise of all
    that others owe. A promise of its own goes before the ready date, be it earlier or later.
    Warn and close gates, and what we owe ourselves, hold nothing.
    """
    held_by = [condition for condition in conditions if step_kind in condition.holds]
    awaited = [condition for condition in held_by if condition.is_awaited]
    late = [condition for condition in awaited if not _is_true(condition, day, ready_date)]
    told = late or [condition for condition in awaited if not condition.is_settled]
    return Readiness(
        not late,
        tuple(_open(condition, ready_date).sentence for condition in told),
        tuple(condition.code for condition in held_by if _must_be_seen(condition)),
    )


def newly_needed(
    step_kinds: Sequence[str], conditions: Collection[JobCondition]
) -> dict[str, list[JobCondition]]:
    """Return for each step, in order, the conditions that no earlier step needs already.

    So that a house that is locked is charged once, at the first step that finds it locked.
    """
    first: dict[str, list[JobCondition]] = {step: [] for step in step_kinds}
    for condition in conditions:
        step = next((step for step in step_kinds if step in condition.holds), None)
        if step is not None:
            first[step].append(condition)
    return first


def marks(
    conditions: Iterable[JobCondition], ready_date: date | None, step_kind: str | None = None
) -> Marks:
    """Return the awaited conditions of a job, or of one step, as marks, and what is still open."""
    awaited = [
        condition
        for condition in conditions
        if condition.is_awaited and (step_kind is None or step_kind in condition.holds)
    ]
    still_open = [condition for condition in awaited if not condition.is_settled]
    done, total = len(awaited) - len(still_open), len(awaited)
    return Marks(
        done,
        total,
        tuple(_mark(condition, ready_date) for condition in awaited),
        tuple(_open(condition, ready_date) for condition in still_open),
    )


def line_of(condition: JobCondition, ready_date: date | None) -> str:
    """Tell how a mark of the condition is drawn: solid (true), dashed (a word), hatched (no)."""
    if condition.is_settled:
        return "dashed" if condition.state == states.REPORTED_DONE else "solid"
    return "hatched" if _relied_on_from(condition, ready_date) is None else "dashed"


def _relied_on_from(condition: JobCondition, ready_date: date | None) -> date | None:
    """Return the first day on which an open condition may be taken as true, if any day is known."""
    if condition.state == states.PROMISED:
        return condition.promised
    # Anything else that is open but owed is a stop that somebody tried to get round.
    return ready_date if condition.state == states.OWED else None


def _is_true(condition: JobCondition, day: date, ready_date: date | None) -> bool:
    if condition.is_settled:
        return True
    start = _relied_on_from(condition, ready_date)
    return start is not None and start <= day


def _must_be_seen(condition: JobCondition) -> bool:
    return condition.gate in SEEN_FIRST_GATES and not condition.is_proved


def _mark(condition: JobCondition, ready_date: date | None) -> Mark:
    return Mark(condition.code, condition.name, condition.state, line_of(condition, ready_date))


def _open(condition: JobCondition, ready_date: date | None) -> OpenCondition:
    return OpenCondition(condition.name, _how(condition, ready_date))


def _how(condition: JobCondition, ready_date: date | None) -> Sentence:
    """Tell who owes an open condition, and by when."""
    party = PARTY_NAMES[condition.owed_by]
    if condition.state == states.PROMISED and condition.promised:
        return _promise(party, condition.promised, ready_date)
    if condition.state != states.OWED:
        state = STATE_NAMES[condition.state]
        return Sentence(_("a stop cannot be %(state)s, it must be seen done"), {"state": state})
    if ready_date is None:
        return Sentence(_("owed by %(party)s, no date"), {"party": party})
    return Sentence(
        _("owed by %(party)s, house said to be ready %(ready)s"),
        {"party": party, "ready": ready_date},
    )


def _promise(party: str, promised: date, ready_date: date | None) -> Sentence:
    if ready_date is None or promised <= ready_date:
        return Sentence(_("owed by %(party)s, promised %(day)s"), {"party": party, "day": promised})
    return Sentence(
        _("owed by %(party)s, promised %(day)s, past the house's ready date %(ready)s"),
        {"party": party, "day": promised, "ready": ready_date},
    )
