"""The office's words for what the planner calls crews, jobs, steps and days."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.utils.formats import date_format

PLANNER_WORD = re.compile(r"\b(?:crew|job|step|site)-\d+\b|\b\d{4}-\d{2}-\d{2}\b")


@dataclass(frozen=True)
class Names:
    """Names by the planner's id: `crew-3` is North, `step-8` is air sealing at a house."""

    of: Mapping[str, str]

    def say(self, text: str) -> str:
        """Return a sentence of the judge with names and dates as the office says them."""
        return PLANNER_WORD.sub(lambda found: self._word(found.group()), text)

    def _word(self, word: str) -> str:
        if word in self.of:
            return self.of[word]
        try:
            return date_format(date.fromisoformat(word), "D M j")
        except ValueError:
            return word
