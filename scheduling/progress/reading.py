"""Reads a fact as a phone sends it; names the place of what is wrong; knows no rows."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from scheduling.progress.day import (
    ANSWERS,
    CHECKED,
    FINISHED,
    KINDS,
    NOTE,
    PHOTO,
    STARTED,
    TURNED_AWAY,
)

MOST_ID = 2**63 - 1
MOST_MINUTES = 1440
MOST_BAGS = 5000
MOST_DEPTHS = 60
MOST_DEPTH_IN = 60.0
MOST_TEXT = 500
OLDEST = timedelta(days=60)
# A tap made while the message is on its way, on a phone whose clock jumps a little.
AHEAD = timedelta(minutes=2)
# Below that a difference of clocks is the way that the message took.
CLOCKS_AGREE = timedelta(seconds=60)


class FactWrong(ValueError):
    """A fact that cannot be kept; its text names the place and what was expected there."""


@dataclass(frozen=True)
class FactReading:
    """A fact as read: `tapped_at` by the phone's clock, `happened_at` set right by ours."""

    id: UUID
    kind: str
    crew: int
    day: date
    job: int | None
    step: str
    condition: int | None
    what: dict[str, Any]
    tapped_at: datetime
    happened_at: datetime
    seen_version: int | None


def fact_read(
    raw: object, *, sent_at: datetime, now: datetime, step_kinds: frozenset[str]
) -> FactReading:
    """Read one fact. Raises FactWrong.

    sent_at: what the phone's clock showed when it sent the fact. A clock that is wrong by more
    than a minute sets the time of the tap right by as much, so never after `now`.
    """
    if not isinstance(raw, Mapping):
        raise FactWrong("fact: expected an object.")
    kind = _one_of(raw, "kind", KINDS)
    tapped_at = _moment(raw, "at")
    if tapped_at > sent_at + AHEAD:
        raise FactWrong("at: expected a time before that of sending.")
    if tapped_at < sent_at - OLDEST:
        raise FactWrong(f"at: expected a time in the last {OLDEST.days} days.")
    wrong_by = now - sent_at
    right_by = wrong_by if abs(wrong_by) > CLOCKS_AGREE else timedelta()
    return FactReading(
        id=_uuid(raw.get("id"), "id"),
        kind=kind,
        crew=_number(raw, "crew"),
        day=_day(raw),
        job=_maybe_number(raw, "job") if kind in (NOTE, PHOTO) else _number(raw, "job"),
        step=_step(raw, kind, step_kinds),
        condition=_number(raw, "condition") if kind == CHECKED else None,
        what=_WHAT.get(kind, _nothing)(_inner(raw)),
        tapped_at=tapped_at,
        happened_at=min(tapped_at + right_by, now),
        seen_version=_maybe_number(raw, "seen_version"),
    )


def _inner(raw: Mapping[str, Any]) -> Mapping[str, Any]:
    what = raw.get("what") or {}
    if not isinstance(what, Mapping):
        raise FactWrong("what: expected an object.")
    return what


def _uuid(value: object, name: str) -> UUID:
    try:
        return UUID(str(value))
    except ValueError as error:
        raise FactWrong(f"{name}: expected a UUID.") from error


def _one_of(raw: Mapping[str, Any], name: str, allowed: tuple[str, ...]) -> str:
    value = raw.get(name)
    if value not in allowed or not isinstance(value, str):
        raise FactWrong(f"{name}: expected one of {', '.join(allowed)}.")
    return value


def _number(raw: Mapping[str, Any], name: str, most: int = MOST_ID, least: int = 0) -> int:
    value = raw.get(name)
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise FactWrong(f"{name}: expected a whole number, {least} to {most}.")
    return value


def _maybe_number(raw: Mapping[str, Any], name: str, most: int = MOST_ID) -> int | None:
    return None if raw.get(name) is None else _number(raw, name, most)


def _moment(raw: Mapping[str, Any], name: str) -> datetime:
    words = f"{name}: expected a time as in 2027-03-01T09:30:00Z."
    try:
        moment = datetime.fromisoformat(str(raw.get(name)))
    except ValueError as error:
        raise FactWrong(words) from error
    if moment.tzinfo is None or not 2000 < moment.year < 2200:
        raise FactWrong(words)
    return moment


def _day(raw: Mapping[str, Any]) -> date:
    try:
        day = date.fromisoformat(str(raw.get("day")))
    except ValueError as error:
        raise FactWrong("day: expected a date as in 2027-03-01.") from error
    if not 2000 < day.year < 2200:
        raise FactWrong("day: expected a date of our time.")
    return day


def _step(raw: Mapping[str, Any], kind: str, step_kinds: frozenset[str]) -> str:
    if kind not in (STARTED, FINISHED):
        return ""
    return _one_of(raw, "step", tuple(sorted(step_kinds)))


def _text(what: Mapping[str, Any], name: str, *, needed: bool = False) -> str:
    value = what.get(name) or ""
    if not isinstance(value, str) or len(value) > MOST_TEXT or "\0" in value:
        raise FactWrong(f"{name}: expected text of up to {MOST_TEXT} characters.")
    if needed and not value.strip():
        raise FactWrong(f"{name}: expected some words.")
    return value.strip()


def _nothing(what: Mapping[str, Any]) -> dict[str, Any]:
    return {}


def _checked(what: Mapping[str, Any]) -> dict[str, Any]:
    """Return the answer, and as text whatever its form asked for besides."""
    answer = _one_of(what, "answer", ANSWERS)
    others = [name for name in what if name != "answer"]
    if len(others) > 12 or any(len(str(name)) > 40 for name in others):
        raise FactWrong("what: expected a dozen of answers or fewer.")
    told = {str(name): _text(what, name) for name in others}
    return {"answer": answer} | {name: text for name, text in told.items() if text}


def finished_read(what: Mapping[str, Any]) -> dict[str, Any]:
    """Return the figures of a finished step, also as an office corrects them. Raises FactWrong."""
    depths = what.get("depths_in") or []
    if not isinstance(depths, list) or len(depths) > MOST_DEPTHS:
        raise FactWrong(f"depths_in: expected a list of up to {MOST_DEPTHS} depths.")
    whole = what.get("whole", True)
    if not isinstance(whole, bool):
        raise FactWrong("whole: expected true or false.")
    return {
        "minutes": _number(what, "minutes", MOST_MINUTES, 1),
        "bags": _maybe_number(what, "bags", MOST_BAGS),
        "depths_in": [_depth(depth) for depth in depths],
        "whole": whole,
    }


def _depth(value: object) -> float:
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    if not is_number or not math.isfinite(value) or not 0 < value <= MOST_DEPTH_IN:  # type: ignore[operator,arg-type]
        raise FactWrong(f"depths_in: expected depths over 0 and up to {MOST_DEPTH_IN:g} inches.")
    return float(value)  # type: ignore[arg-type]


def _turned_away(what: Mapping[str, Any]) -> dict[str, Any]:
    missing = what.get("missing") or []
    if not isinstance(missing, list) or len(missing) > 60:
        raise FactWrong("missing: expected a list of conditions.")
    ids = [_number({"missing": one}, "missing") for one in missing]
    return {"missing": ids, "why": _text(what, "why", needed=not ids)}


def _photo(what: Mapping[str, Any]) -> dict[str, Any]:
    about = what.get("about")
    return {
        "about": None if about is None else str(_uuid(about, "about")),
        "caption": _text(what, "caption"),
    }


def _note(what: Mapping[str, Any]) -> dict[str, Any]:
    return {"text": _text(what, "text", needed=True)}


_WHAT: dict[str, Callable[[Mapping[str, Any]], dict[str, Any]]] = {
    CHECKED: _checked,
    FINISHED: finished_read,
    TURNED_AWAY: _turned_away,
    PHOTO: _photo,
    NOTE: _note,
}
