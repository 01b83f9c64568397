"""Minutes, days, cents and readiness in the office's words; reads no row."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django import template
from django.utils.html import format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from jobs import wording
from jobs.conditions.readiness import OpenCondition
from jobs.conditions.sentences import Sentence
from scheduling.weeks.shapes import CrewDayCell, StripPart
from scheduling.weeks.views.stack import Block
from scheduling.words import change_in_dollars, dollars_and_cents, long_day, opposite, percent

register = template.Library()
register.filter("duration", wording.duration)
register.filter("day", wording.day_text)
register.filter("dollars", wording.dollars)
for words in (long_day, dollars_and_cents, change_in_dollars, opposite, percent):
    register.filter(words.__name__, words)
register.filter("filled_marks", wording.filled_marks)
register.filter("sentence", wording.sentence_text)
register.filter("sentences", wording.sentences_text)

BRIEF = 2  # so many parts of what is open stand on a strip
MINUS = wording.MINUS


@dataclass(frozen=True)
class Owed:
    """What one party owes for one day, as "owed by builder, promised Tue Mar 2"."""

    how: str
    names: tuple[str, ...]


@register.filter
def work_words(parts: Iterable[StripPart]) -> str:
    """Return what is done at a stop: `air sealing 40 min, flat blow 2 h of 3 h 10 min`."""
    return ", ".join(_part_words(part) for part in parts)


def _part_words(part: StripPart) -> str:
    said = f"{part.name} {wording.duration(part.minutes)}"
    if part.minutes >= part.of_minutes:
        return said
    return _("%(part)s of %(whole)s") % {"part": said, "whole": wording.duration(part.of_minutes)}


@register.filter
def day_words(cell: CrewDayCell) -> str:
    """Return how full a crew's day is: `7 h 15 min of 8 h, Blower 1`, `8 h free`, `off`."""
    if not cell.stops:
        free = {"free": wording.duration(cell.free_minutes)}
        return _("off") if cell.is_off else _("%(free)s free") % free
    used = {
        "used": wording.duration(cell.used_minutes),
        "available": wording.duration(cell.available_minutes),
        "over": wording.duration(cell.over_minutes),
    }
    said = [_("%(used)s of %(available)s") % used]
    if cell.over_minutes:
        said.append(_("%(over)s overtime") % used)
    return ", ".join([*said, *cell.machines])


@register.filter
def drive_words(block: Block) -> str:
    """Return how long a drive is, and where to: `17 min drive`, `17 min drive home`."""
    minutes = {"minutes": wording.duration(block.minutes)}
    text = _("%(minutes)s drive home") if block.kind == "home" else _("%(minutes)s drive")
    return text % minutes


@register.filter
def promise_words(day: date) -> str:
    """Return by when we said that we would be finished: `promised for Fri Dec 4`."""
    return _("promised for %(day)s") % {"day": wording.day_text(day)}


@register.filter
def gutter(block: Block) -> SafeString:
    """Return the stretches of a stop as they stand at its left edge, each as high as its time."""
    stretches = ((segment.height, segment.kind) for segment in block.segments)
    return format_html_join("", '<i class="m{} tall {}"></i>', stretches)


@register.filter
def in_brief(still_open: Iterable[OpenCondition]) -> str:
    """Return the two largest parts of what is open, and how much more there is."""
    owed = sorted(by_party(still_open), key=lambda one: -len(one.names))
    said = [_brief(one) for one in owed[:BRIEF]]
    rest = sum(len(one.names) for one in owed[BRIEF:])
    if rest:
        said.append(_("%(number)s more") % {"number": rest})
    return "; ".join(said)


def _brief(owed: Owed) -> str:
    if len(owed.names) > 2:
        return f"{len(owed.names)} {owed.how}"
    return f"{', '.join(owed.names)}: {owed.how}"


@register.filter
def by_party(still_open: Iterable[OpenCondition]) -> list[Owed]:
    """Put together what is open alike: all that one party owes for one day."""
    names: dict[Sentence, list[str]] = {}
    for condition in still_open:
        names.setdefault(condition.how, []).append(wording.word(condition.name))
    return [Owed(wording.sentence_text(how), tuple(found)) for how, found in names.items()]
