"""Sentences that can be translated: a template and its values; must not know any language."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TypeAlias

Value: TypeAlias = "str | int | date | Sentence"

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def english_date(day: date) -> str:
    """Return a date as people say it on site, whatever the machine's language: `Tue Mar 2`."""
    return f"{WEEKDAYS[day.weekday()]} {MONTHS[day.month - 1]} {day.day}"


def marked(text: str) -> str:
    """Return the text. Under the name `_` it marks words for the tool that collects messages."""
    return text


@dataclass(frozen=True)
class Sentence:
    """A template with %(name)s places, and the words, numbers, dates and sentences in them."""

    template: str
    values: Mapping[str, Value] = field(default_factory=dict, hash=False)

    def render(
        self,
        translate: Callable[[str], str] = marked,
        show_date: Callable[[date], str] = english_date,
    ) -> str:
        """Return the sentence with template and words translated and dates shown as asked."""

        def shown(value: Value) -> str | int:
            if isinstance(value, date):
                return show_date(value)
            if isinstance(value, Sentence):
                return value.render(translate, show_date)
            # An empty word is left alone: catalogues of messages keep their header under "".
            return translate(value) if isinstance(value, str) and value else value

        return translate(self.template) % {
            name: shown(value) for name, value in self.values.items()
        }

    def __str__(self) -> str:
        return self.render()
