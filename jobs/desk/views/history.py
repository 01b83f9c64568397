"""Events about a job as sentences: what was, what is; reads no database."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from contractor.models import Event
from jobs.conditions.words import STATE_NAMES
from jobs.wording import word

# Kept in an event for machines: what it is about is said by its subject.
UNSAID = frozenset({"job", "code", "superintendent", "site", "heard"})
NO_NAMES: Mapping[str, str] = {}


@dataclass(frozen=True)
class EventPresenter:
    """One event with its sentence."""

    event: Event
    sentence: str


FIRST = {"state": 0, "promised_for": 1}


def event_presenter(event: Event, names: Mapping[str, str] = NO_NAMES) -> EventPresenter:
    """Say the event, its subject by name and each change as `before → after`.

    names: of the job's conditions by their code; an event about another is named by its noun.
    """
    changes = "; ".join(_changes(event.what))
    subject = f"{_subject(event, names)} {word(event.verb)}"
    return EventPresenter(event, f"{subject}: {changes}" if changes else subject)


def _subject(event: Event, names: Mapping[str, str]) -> str:
    return word(names.get(str(event.what.get("code", "")), event.noun))


def _changes(what: dict[str, Any]) -> Iterator[str]:
    # PostgreSQL keeps keys by their length: what changed is said first on any database.
    for key, value in sorted(what.items(), key=lambda said: FIRST.get(said[0], len(FIRST))):
        if key not in UNSAID and value not in (None, "", [], {}):
            yield f"{word(key.replace('_', ' '))} {_value(value)}"


def _value(value: Any) -> str:
    """Return a pair of plain values as a change, a list or table by how much it holds."""
    if isinstance(value, list) and len(value) == 2 and not any(map(_is_nested, value)):
        return f"{_plain(value[0])} → {_plain(value[1])}"
    if isinstance(value, dict):
        return ", ".join(f"{word(key.replace('_', ' '))} {_value(v)}" for key, v in value.items())
    if isinstance(value, list):
        return str(len(value))
    return _plain(value)


def _is_nested(value: Any) -> bool:
    return isinstance(value, list | dict)


def _plain(value: Any) -> str:
    if value is None or value == "":
        return "—"
    return word(STATE_NAMES.get(str(value), str(value)))
