"""Filters that say names, days and hours in the reader's language; know no row."""

from django import template

from jobs import shown
from jobs.conditions.words import GATE_NAMES, PARTY_NAMES, STATE_NAMES, STEP_NAMES

register = template.Library()

register.filter("word", shown.word)
register.filter("day", shown.day_shown)
register.filter("said", shown.said)
register.filter("hours", shown.hours)
register.filter("duration", shown.duration)
register.filter("number", shown.number)
register.filter("quantity", shown.quantity_shown)
register.filter("dollars", shown.dollars)
register.filter("filled_marks", shown.filled_marks)


@register.filter
def step_name(kind: str) -> str:
    """Return the name of a kind of step."""
    return shown.word(STEP_NAMES.get(kind, kind))


@register.filter
def party_name(party: str) -> str:
    """Return the name of who owes a condition."""
    return shown.word(PARTY_NAMES.get(party, party))


@register.filter
def gate_name(gate: str) -> str:
    """Return the name of a gate, with what it means."""
    return shown.word(GATE_NAMES.get(gate, gate))


@register.filter
def state_name(state: str) -> str:
    """Return the name of a condition's state."""
    return shown.word(STATE_NAMES.get(state, state))
