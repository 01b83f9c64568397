"""What becomes of a condition by what crews said of it; knows neither Django, rows nor rights.

A claim is what one fact says of one condition. The state is a function of the set of claims and
of where the condition stood when somebody else moved it last, whatever order they came in.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from jobs.conditions.sentences import marked as _
from jobs.conditions.states import OWED, REPORTED_DONE, SEEN_DONE, TAKEN_OVER, WAIVED

SETTLED = (SEEN_DONE, WAIVED, TAKEN_OVER)
TAKEN_ALREADY = _("We have taken it over already; what was agreed then stands.")
WORK_BEGUN = _("Our work on it has begun, so it stays ours: say seen done when it is.")


class Effect(StrEnum):
    """How a fact bears on a condition."""

    TRUE = "true"
    NOT_TRUE = "not_true"
    WE_DID_IT = "we_did_it"
    MISSING = "missing"  # the crew was turned away by it
    STARTED = "started"  # a step that waits for it was begun
    WORKED = "worked"  # our work on what we have taken over was begun
    WORK_DONE = "work_done"  # and finished
    DONE = "done"  # our own step that brings it about was finished


@dataclass(frozen=True)
class Claim:
    """What a fact says of a condition: when, how, and on what grounds."""

    fact: str
    at: datetime
    effect: Effect
    reason: str = ""
    document: str = ""

    @property
    def order(self) -> tuple[datetime, str, str]:
        """By when it happened; the id parts what happened in the same moment."""
        return (self.at, self.fact, self.effect)


@dataclass(frozen=True)
class ClaimedState:
    """Where a condition stands by what crews said.

    by: the claim that it rests on; None where it stands as somebody else left it. charges: the
    facts whose taking over stands. days: each day's state before and after. left_out: by fact,
    why it changed nothing.
    """

    state: str
    by: Claim | None = None
    charges: tuple[str, ...] = ()
    days: tuple[tuple[date, str, str], ...] = ()
    left_out: dict[str, str] = field(default_factory=dict)

    def before(self, day: date) -> str | None:
        """Return the state in which a day found it; None where nothing was said before or on it."""
        earlier = [after for on, _, after in self.days if on < day]
        first = next((before for on, before, _ in self.days if on >= day), None)
        return earlier[-1] if earlier else first


def claimed_state(
    base: str, claims: Iterable[Claim], day_of: Callable[[datetime], date]
) -> ClaimedState:
    """Return where a condition stands that others left at `base`.

    claims: of what happened after that, only those that their person may make.
    """
    walk = _Walk(base, day_of)
    for claim in sorted(claims, key=lambda one: one.order):
        walk.take(claim)
    return ClaimedState(walk.state, walk.by, tuple(walk.charges), tuple(walk.days), walk.left_out)


class _Walk:
    """A condition on its way through the claims about it."""

    def __init__(self, base: str, day_of: Callable[[datetime], date]) -> None:
        self.state = base
        self.day_of = day_of
        self.by: Claim | None = None
        self.charges: list[str] = []
        self.days: list[tuple[date, str, str]] = []
        self.left_out: dict[str, str] = {}
        self.has_begun = False

    def take(self, claim: Claim) -> None:
        """Let one claim take effect, or keep why it has none."""
        taken = self.state == TAKEN_OVER
        if claim.effect == Effect.WORKED:
            self.has_begun |= taken
        elif claim.effect == Effect.WE_DID_IT:
            self._take_over(claim)
        elif claim.effect == Effect.NOT_TRUE:
            self._not_true(claim)
        elif claim.effect == Effect.MISSING:
            self._move(claim, OWED, self.state in (REPORTED_DONE, SEEN_DONE))
        elif claim.effect == Effect.STARTED:
            self._move(claim, SEEN_DONE, self.state == REPORTED_DONE)
        elif claim.effect == Effect.WORK_DONE:
            self._move(claim, SEEN_DONE, taken)
        else:
            settled = (SEEN_DONE,) if claim.effect == Effect.TRUE else SETTLED
            self._move(claim, SEEN_DONE, self.state not in settled)

    def _take_over(self, claim: Claim) -> None:
        """Take the last measures where it is said once more; what the office agreed to stands."""
        if self.state == TAKEN_OVER and not self.charges:
            self.left_out[claim.fact] = TAKEN_ALREADY
            return
        if self.state == TAKEN_OVER:
            self.charges.pop()
        self.charges.append(claim.fact)
        self._move(claim, TAKEN_OVER, True)

    def _not_true(self, claim: Claim) -> None:
        if self.state == TAKEN_OVER and self.has_begun:
            self.left_out[claim.fact] = WORK_BEGUN
            return
        if self.state == TAKEN_OVER and self.charges:
            self.charges.pop()
        same = self.by is not None and self.state == OWED and self.by.reason == claim.reason
        self._move(claim, OWED, not same)

    def _move(self, claim: Claim, to_state: str, is_move: bool) -> None:
        if not is_move:
            return
        day, before = self.day_of(claim.at), self.state
        if self.days and self.days[-1][0] == day:
            before = self.days.pop()[1]
        if before != to_state:
            self.days.append((day, before, to_state))
        self.state, self.by = to_state, claim
        self.has_begun &= to_state == TAKEN_OVER


def claims_after(claims: Iterable[Claim], moment: datetime | None) -> list[Claim]:
    """Keep what happened after somebody else moved the condition; all where nobody did."""
    return [claim for claim in claims if moment is None or claim.at >= moment]
