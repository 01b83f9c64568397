"""Filters that say names, days and hours in the reader's language; know no row."""

from django import template

from jobs import wording
from jobs.conditions.words import GATE_NAMES, PARTY_NAMES, STATE_NAMES, STEP_NAMES

register = template.Library()

register.filter("word", wording.word)
register.filter("day", wording.day_text)
register.filter("sentence", wording.sentence_text)
register.filter("hours", wording.hours)
register.filter("duration", wording.duration)
register.filter("number", wording.number)
register.filter("quantity", wording.quantity_text)
register.filter("dollars", wording.dollars)
register.filter("filled_marks", wording.filled_marks)


@register.filter
def step_name(kind: str) -> str:
    """Return the name of a kind of step."""
    return wording.word(STEP_NAMES.get(kind, kind))


@register.filter
def party_name(party: str) -> str:
    """Return the name of who owes a condition."""
    return wording.word(PARTY_NAMES.get(party, party))


@register.filter
def gate_name(gate: str) -> str:
    """Return the name of a gate, with what it means."""
    return wording.word(GATE_NAMES.get(gate, gate))


@register.filter
def state_name(state: str) -> str:
    """Return the name of a condition's state."""
    return wording.word(STATE_NAMES.get(state, state))
