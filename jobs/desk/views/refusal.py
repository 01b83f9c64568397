"""Why something posted changed nothing, and how a condition stands, in words; takes no answer."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from jobs.conditions.states import (
    OWED,
    PROMISED,
    REPORTED_DONE,
)
from jobs.conditions.words import STATE_NAMES
from jobs.models import Condition
from jobs.wording import day_text, word

BAD_INPUT, CONFLICT = 400, 409


@dataclass(frozen=True)
class Refusal:
    """Why something posted changed nothing: a status and sentences for the person."""

    status: int
    sentences: tuple[str, ...]


def someone_was_quicker(condition: Condition) -> str:
    """Return what is true now of a condition that somebody else moved first."""
    return _(
        "%(name)s: somebody was quicker. It is now %(standing)s. Nothing of yours was saved;"
        " look once more and answer again if it is still needed."
    ) % {"name": word(condition.name), "standing": state_text(condition)}


def state_text(condition: Condition) -> str:
    """Return a condition's state in words: `promised for Tue Mar 2 (Rosa Reyes)`."""
    words = word(STATE_NAMES[condition.state])
    if condition.promised_for:
        words = _("%(state)s for %(day)s") % {
            "state": words,
            "day": day_text(condition.promised_for),
        }
    return f"{words} ({condition.moved_by})" if condition.moved_by else words


def state_line(state: str) -> str:
    """Return solid for what counts as true, dashed for a word or promise, hatched for the owed."""
    return {OWED: "hatched", PROMISED: "dashed", REPORTED_DONE: "dashed"}.get(state, "solid")
