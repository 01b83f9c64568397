"""The reader's words for the planner's findings, with the names of crews, houses and steps."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext, ngettext

from jobs.conditions.words import STEP_NAMES
from jobs.shown import day_shown, dollars, duration
from scheduling.planning.findings import Finding, Kind, worded


def step_at(kind: str, house: str) -> str:
    """Return a step of a house by name: `air sealing at Lot 1`."""
    words = {"step": gettext(STEP_NAMES[kind]), "house": house}
    return gettext("%(step)s at %(house)s") % words


@dataclass(frozen=True)
class Names:
    """Names by the planner's id: `crew-3` is North, `step-8` is air sealing at a house.

    `day_of` gives the date of a working day by its number, also of those past the days planned.
    """

    of: Mapping[str, str]
    day_of: Callable[[int], date] | None = None

    def named(self, planner_id: str) -> str:
        """Return the name behind an id, the id itself where none is known."""
        return self.of.get(planner_id, planner_id)

    def sentence(self, found: Finding) -> str:
        """Return a finding in the reader's language, without the stop at its end."""
        return worded(found, self)

    def template(self, text: str) -> str:
        """Return an English template or word in the reader's language."""
        return gettext(text)

    def value(self, kind: Kind, value: Any) -> str:
        """Return a value of a finding as the office says it."""
        say = _SAY.get(kind)
        if kind == Kind.DAY:
            return self._day(value)
        return say(value) if say else self.named(str(value))

    def _day(self, number: int) -> str:
        if self.day_of is None:
            return gettext("day %(number)s") % {"number": number}
        return day_shown(self.day_of(number))


def _days(count: int) -> str:
    return ngettext("%(n)s day", "%(n)s days", count) % {"n": count}


_SAY: Mapping[Kind, Callable[[Any], str]] = {
    Kind.MINUTES: duration,
    Kind.DAYS: _days,
    Kind.CENTS: dollars,
    Kind.MACHINE: gettext,
}
