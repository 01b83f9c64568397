"""States of a condition and who may move it between them; must not know rows, pages or a clock."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.conditions.words import GATE_NAMES, ROLES, STATE_NAMES, known

OWED = "owed"
PROMISED = "promised"
REPORTED_DONE = "reported_done"
SEEN_DONE = "seen_done"
WAIVED = "waived"
TAKEN_OVER = "taken_over"

STOP = "stop"
LAW = "law"

# An answer can be changed until a crew has seen the thing; a promise can be made anew. What is
# settled goes back to owed, or is seen done after all, and nowhere else.
MOVES: dict[str, frozenset[str]] = {
    OWED: frozenset({PROMISED, REPORTED_DONE, SEEN_DONE, WAIVED, TAKEN_OVER}),
    PROMISED: frozenset({OWED, PROMISED, REPORTED_DONE, SEEN_DONE, WAIVED, TAKEN_OVER}),
    REPORTED_DONE: frozenset({OWED, PROMISED, SEEN_DONE, WAIVED, TAKEN_OVER}),
    SEEN_DONE: frozenset({OWED}),
    WAIVED: frozenset({OWED, SEEN_DONE}),
    TAKEN_OVER: frozenset({OWED, SEEN_DONE}),
}

ALL_STATES = frozenset(STATE_NAMES)
RIGHTS: dict[str, frozenset[str]] = {
    "owner": ALL_STATES,
    "office": ALL_STATES,
    "estimator": frozenset({SEEN_DONE, OWED}),
    "crew_lead": frozenset({SEEN_DONE, OWED, TAKEN_OVER}),
    "superintendent": frozenset({PROMISED, REPORTED_DONE}),
}
# A stop is cleared on site, by someone who stands before it; the office never does.
SITE_ROLES = frozenset({"estimator", "crew_lead"})


class MoveRefused(Exception):
    """A move that may not be made; `sentence` says why."""

    def __init__(self, sentence: Sentence) -> None:
        super().__init__(str(sentence))
        self.sentence = sentence


@dataclass(frozen=True)
class Terms:
    """What a condition's entry in the catalogue says about moves."""

    gate: str
    may_take_over: bool = False
    never_waived: bool = False
    document: str = ""


@dataclass(frozen=True)
class Mover:
    """Who moves: a role, and whether this person has the right to clear a stop."""

    role: str
    may_clear_stop: bool = False


@dataclass(frozen=True)
class Grounds:
    """What a move rests on.

    day: the promised date, or the date of an authority's word. name: who waives; for a law gate
    the authority. paper: reference of the authority's paper. document: reference of the paper
    that clears a stop.
    """

    day: date | None = None
    name: str = ""
    reason: str = ""
    paper: str = ""
    document: str = ""


@dataclass(frozen=True)
class Move:
    """One move, with all that decides about it."""

    terms: Terms
    state: str
    to_state: str
    mover: Mover
    grounds: Grounds
    today: date


def move_allowed(
    terms: Terms, state: str, to_state: str, mover: Mover, grounds: Grounds, *, today: date
) -> None:
    """Do nothing when the move may be made; raise MoveRefused with the first reason why not.

    ValueError names a gate, state or role that does not exist. Stop gates are cleared only by
    being seen done, law gates waived only by an authority's name, date and paper.
    """
    move = Move(terms, state, to_state, mover, grounds, today)
    refusal = _standing_refusal(move) or _grounds_refusal(move)
    if refusal:
        raise MoveRefused(refusal)


def moves_open(terms: Terms, state: str, mover: Mover) -> tuple[str, ...]:
    """Return the states that this person may try to move to, in usual order, given good grounds."""
    moves = (Move(terms, state, to, mover, Grounds(), date.min) for to in STATE_NAMES)
    return tuple(move.to_state for move in moves if _standing_refusal(move) is None)


def _standing_refusal(move: Move) -> Sentence | None:
    """Tell why the move is refused whatever it rests on."""
    known("gate", [move.terms.gate], GATE_NAMES)
    known("state", [move.state, move.to_state], STATE_NAMES)
    known("role", [move.mover.role], ROLES)
    if move.to_state not in MOVES[move.state]:
        return Sentence(
            _("It is %(state)s and cannot become %(to_state)s."),
            {"state": STATE_NAMES[move.state], "to_state": STATE_NAMES[move.to_state]},
        )
    if move.to_state not in RIGHTS[move.mover.role]:
        return Sentence(
            _("It is not yours to set this to %(to_state)s."),
            {"to_state": STATE_NAMES[move.to_state]},
        )
    check = STANDING_CHECKS.get(move.to_state)
    return check(move) if check else None


def _grounds_refusal(move: Move) -> Sentence | None:
    """Tell why the move is refused for want of what it must rest on."""
    check = GROUNDS_CHECKS.get(move.to_state)
    return check(move) if check else None


def _may_see_done(move: Move) -> Sentence | None:
    if move.terms.gate != STOP:
        return None
    if move.mover.role not in SITE_ROLES:
        return Sentence(
            _("A stop cannot be cleared from the office: it must be seen done on site.")
        )
    if not move.mover.may_clear_stop:
        return Sentence(_("A stop is cleared only by a person who has the right to."))
    return None


def _may_waive(move: Move) -> Sentence | None:
    if move.terms.gate == STOP:
        return Sentence(_("A stop cannot be waived by anyone: it must be seen done."))
    if move.terms.never_waived:
        return Sentence(_("This rule of law cannot be waived by anyone."))
    return None


def _may_take_over(move: Move) -> Sentence | None:
    # The gate is asked too, so that a wrong entry in the catalogue cannot open a stop.
    if move.terms.gate in (STOP, LAW) or not move.terms.may_take_over:
        return Sentence(_("This is not work that we may take over."))
    return None


def _has_promise(move: Move) -> Sentence | None:
    if move.grounds.day is None:
        return Sentence(_("A promise needs its date."))
    if move.grounds.day < move.today:
        return Sentence(_("%(day)s is past: promise today or later."), {"day": move.grounds.day})
    return None


def _has_reason(move: Move) -> Sentence | None:
    if not move.grounds.reason.strip():
        return Sentence(_("Say why it is owed again."))
    return None


def _has_document(move: Move) -> Sentence | None:
    if move.terms.gate == STOP and move.terms.document and not move.grounds.document.strip():
        return Sentence(
            _("This stop is cleared only with its paper: %(document)s."),
            {"document": move.terms.document},
        )
    return None


def _has_waiver(move: Move) -> Sentence | None:
    grounds = move.grounds
    if move.terms.gate != LAW:
        if grounds.name.strip() and grounds.reason.strip():
            return None
        return Sentence(_("A waiver needs the name of who waives it, and a reason."))
    if not (grounds.name.strip() and grounds.paper.strip() and grounds.day):
        return Sentence(
            _("Only the authority can waive this: give its name, the date and the paper.")
        )
    if grounds.day > move.today:
        return Sentence(
            _("The authority's paper is dated %(day)s, still to come."), {"day": grounds.day}
        )
    return None


Check = Callable[[Move], Sentence | None]
STANDING_CHECKS: dict[str, Check] = {
    SEEN_DONE: _may_see_done,
    WAIVED: _may_waive,
    TAKEN_OVER: _may_take_over,
}
GROUNDS_CHECKS: dict[str, Check] = {
    OWED: _has_reason,
    PROMISED: _has_promise,
    SEEN_DONE: _has_document,
    WAIVED: _has_waiver,
}
