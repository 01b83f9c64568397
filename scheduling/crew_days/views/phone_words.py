"""The words that the crew-day page's script says, in the reader's language; knows no row."""

import re

from django.utils.translation import gettext as _


def phone_words() -> dict[str, str]:
    """Return the script's texts by key; {house} and the like are filled in as it is said."""
    return {**_actions(), **_stands(), **_after_turned_away()}


def filled(text: str, **values: object) -> str:
    """Return the text with its places filled, each once: what is filled in is never read again."""
    return re.sub(r"\{(\w+)\}", lambda place: str(values.get(place[1], place[0])), text)


def _actions() -> dict[str, str]:
    """Return the one main action."""
    return {
        "set_out": _("Set out: {house}"),
        "arrived": _("We are there: {house}"),
        "check_one": _("Look first: {n} thing to see"),
        "check_many": _("Look first: {n} things to see"),
        "turn_away": _("We cannot start: tell the office"),
        "start": _("Start: {step}"),
        "finish": _("Finished: {step}"),
        "ring": _("No other house is ready. Ring the office."),
        "done": _("The day is done. Drive home with care."),
    }


def _stands() -> dict[str, str]:
    """Tell how far a stop, a step and a check have come."""
    return {
        "state_to_come": _("to come"),
        "state_on_the_way": _("on the way since {time}"),
        "state_there": _("there since {time}"),
        "state_working": _("at work"),
        "state_finished": _("finished {time}"),
        "state_turned_away": _("turned away {time}"),
        "step_started": _("started {time}"),
        "step_finished": _("finished {time}, {minutes} min"),
        "step_bags": _("bags used: {bags}"),
        "step_left": _("some is left"),
        "answered_true": _("you said: true"),
        "answered_not_true": _("you said: not true"),
        "answered_we_did_it": _("you said: we did it"),
    }


def _after_turned_away() -> dict[str, str]:
    """Tell where to go from a house that was not ready."""
    return {
        "next_seen": _("Next that is ready: {house}"),
        "next_reported": _("Next: {house}. Reported done, not seen: look before you unload."),
        "next_none": _("No other house is ready. Ring the office."),
    }
