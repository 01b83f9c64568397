"""The office's words for what the planner calls crews, jobs, steps, days and minutes."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext, ngettext

from jobs.wording import duration
from scheduling.planning.rules import Violation

PLANNER_WORD = re.compile(r"\b(?:crew|job|step|site)-\d+\b|\b\d{4}-\d{2}-\d{2}\b")
DAY_NUMBER = re.compile(r"\bday (\d+)\b")
MINUTES = re.compile(r"\b(\d+) minutes\b")
# What a figure in minutes is held against, as the judge ends a sentence: `, 540 at most`.
LIMIT = re.compile(r", (\d+) (at most|expected)$")
TOO_FEW_MACHINES = re.compile(r"^(\d+) crews need one on (\S+), there are (\d+)$")


@dataclass(frozen=True)
class Names:
    """Names by the planner's id: `crew-3` is North, `step-8` is air sealing at a house.

    `day_of` gives the date of a working day by its number, for days past those planned.
    """

    of: Mapping[str, str]
    day_of: Callable[[int], date] | None = None

    def say(self, text: str) -> str:
        """Return a sentence of the judge with names, dates and hours as the office says them."""
        machines = TOO_FEW_MACHINES.match(text)
        if machines:
            text = _too_few_machines(machines, gettext("machine"))
        text = DAY_NUMBER.sub(self._numbered, self._hours(text))
        return PLANNER_WORD.sub(lambda found: self._word(found.group()), text)

    def objection(self, found: Violation) -> str:
        """Return what the judge found, with the machine by its kind where one is short."""
        machines = TOO_FEW_MACHINES.match(found.text)
        if not machines:
            return self.say(found.text)
        kind = gettext(found.where.partition("/")[0])
        return self.say(_too_few_machines(machines, kind))

    @staticmethod
    def _hours(text: str) -> str:
        if not MINUTES.search(text):
            return text
        text = LIMIT.sub(lambda found: f", {duration(int(found[1]))} {found[2]}", text)
        return MINUTES.sub(lambda found: duration(int(found[1])), text)

    def _numbered(self, found: re.Match[str]) -> str:
        return found.group() if self.day_of is None else self.day_of(int(found[1])).isoformat()

    def _word(self, word: str) -> str:
        if word in self.of:
            return self.of[word]
        try:
            return date_format(date.fromisoformat(word), "D M j")
        except ValueError:
            return word


def _too_few_machines(found: re.Match[str], kind: str) -> str:
    crews, day, there = found.groups()
    text = ngettext(
        "%(crews)s crews need a %(kind)s on %(day)s, there is %(there)s",
        "%(crews)s crews need a %(kind)s on %(day)s, there are %(there)s",
        int(there),
    )
    return text % {"crews": crews, "kind": kind, "day": day, "there": there}
