"""Reading of a takeoff: each value by its path and limits; knows no formula and no material."""

import difflib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache

from jobs.conditions.sentences import Sentence, Value
from jobs.conditions.sentences import marked as _
from jobs.estimating.estimated import Assumed
from jobs.estimating.exact import NotANumber, Plain, exact, plain, quoted, spoken

TEXT_LENGTH = 200
# Refusals that several kinds of space give.
NOT_BLOWN = _("%(material)s is no loose fill and cannot be blown")
LESS_THAN_SPACING = _("expected less than the spacing, %(spacing)s in")


class TakeoffError(ValueError):
    """A takeoff that cannot be right: `.path` names the field, `.sentence` what was expected.

    is_missing: whether nothing was given where something must be.
    """

    def __init__(self, path: str, sentence: Sentence, *, is_missing: bool = False) -> None:
        super().__init__(f"{path}: {sentence}")
        self.path, self.sentence, self.is_missing = path, sentence, is_missing

    @property
    def located(self) -> Sentence:
        """The field, then what was expected of it."""
        return Sentence("%(path)s: %(reason)s", {"path": self.path, "reason": self.sentence})

    @property
    def reason(self) -> str:
        """What was expected, in English."""
        return str(self.sentence)


class MeasureName(str):
    """A field of the takeoff that a sentence names; a form says its own label for it."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Rate:
    """A figure of the contractor's own, with where it comes from and how many jobs stand behind."""

    value: Fraction
    unit: str
    source: str
    default: bool = False
    jobs: int = 0
    path: str = ""

    def spoken(self) -> str:
        """Return the rate as it stands in a sentence."""
        return f"{spoken(self.value, 3)} {self.unit} ({self.source})"


@dataclass(frozen=True, slots=True)
class Default:
    """What the tool assumes where a takeoff is silent."""

    value: str
    unit: str
    source: str

    def rate(self, path: str = "") -> Rate:
        """Return the same as a rate that says that it is a default."""
        source = f"default: {self.source}"
        return Rate(exact(self.value), self.unit, source, default=True, path=path)


AssumedByPath = dict[str, Assumed]


@dataclass(frozen=True, slots=True)
class Limits:
    """What a number may be: bounds, whether they are included, and the unit for messages."""

    low: Fraction = field(default_factory=Fraction)
    high: Fraction = Fraction(10**6)
    open_low: bool = True

    def allow(self, value: Fraction) -> bool:
        """Tell whether the value is within the limits."""
        above = value > self.low if self.open_low else value >= self.low
        return above and value <= self.high

    def spoken(self, unit: str) -> Sentence:
        """Return the limits as they stand in a message."""
        templates = (
            (
                _("expected more than %(low)s and at most %(high)s %(unit)s"),
                _("expected more than %(low)s and at most %(high)s"),
            )
            if self.open_low
            else (
                _("expected at least %(low)s and at most %(high)s %(unit)s"),
                _("expected at least %(low)s and at most %(high)s"),
            )
        )
        return _with_unit(templates, unit, low=spoken(self.low), high=spoken(self.high))


@cache
def limits(low: float | str = 0, high: float | str = 10**6, *, zero: bool = False) -> Limits:
    """Return the limits of a number; `zero` includes the lower bound itself."""
    return Limits(exact(low), exact(high), open_low=not zero)


class Node:
    """One object of the takeoff: reads its fields, remembers which were asked for."""

    def __init__(self, data: object, path: str, assumed: AssumedByPath) -> None:
        if not isinstance(data, Mapping):
            wanted = Sentence(_("expected an object, not %(kind)s"), {"kind": kind_of(data)})
            raise TakeoffError(path or "takeoff", wanted)
        self.data: Mapping[object, object] = data
        self.path = path
        self.assumed = assumed
        self._known: set[str] = set()
        self._within: dict[str, Node] = {}

    def at(self, name: str) -> str:
        """Return the path of a field."""
        return f"{self.path}.{name}" if self.path else name

    def fail(self, name: str, template: str, /, **values: Value) -> TakeoffError:
        """Return the error to raise about a field."""
        return TakeoffError(self.at(name), Sentence(template, values))

    def lacks(self, name: str, template: str, /, **values: Value) -> TakeoffError:
        """Return the error to raise about a field that must be there and is not."""
        return TakeoffError(self.at(name), Sentence(template, values), is_missing=True)

    def raw(self, name: str) -> object:
        """Return the value as it stands; None where it is left out."""
        self._known.add(name)
        return self.data.get(name)

    def has(self, name: str) -> bool:
        """Tell whether the field is there, and not null."""
        return self.raw(name) is not None

    def number(self, name: str, unit: str = "", within: Limits | None = None) -> Fraction:
        """Return a number that must be there."""
        value = self.maybe(name, unit, within)
        if value is None:
            raise self._lacks_number(name, unit)
        return value

    def maybe(self, name: str, unit: str = "", within: Limits | None = None) -> Fraction | None:
        """Return a number that may be left out."""
        raw = self.raw(name)
        if raw is None:
            return None
        try:
            value = exact(raw)
        except NotANumber as error:
            wanted = (_("%(error)s; expected a number %(unit)s"), _("%(error)s; expected a number"))
            sentence = _with_unit(wanted, unit, error=error.sentence)
            raise TakeoffError(self.at(name), sentence) from None
        allowed = within or limits()
        if not allowed.allow(value):
            raise self.fail(
                name,
                _("%(value)s is out of range; %(allowed)s"),
                value=quoted(raw),
                allowed=allowed.spoken(unit),
            )
        return value

    def _lacks_number(self, name: str, unit: str) -> TakeoffError:
        wanted = (
            _("is missing; expected a number of %(unit)s%(near)s"),
            _("is missing; expected a number%(near)s"),
        )
        sentence = _with_unit(wanted, unit, near=self._nearest_unread(name))
        return TakeoffError(self.at(name), sentence, is_missing=True)

    def measure(self, name: str, default: Default, within: Limits | None = None) -> Fraction:
        """Return a number with a default; that the default was taken is noted."""
        value = self.maybe(name, default.unit, within)
        return self.assume(name, default).value if value is None else value

    def assume(self, name: str, default: Default) -> Rate:
        """Take the default for a field and note it."""
        rate = default.rate(self.at(name))
        note(self.assumed, rate.path, plain(rate.value), default.unit, default.source)
        return rate

    def rate(self, name: str, default: Default, within: Limits | None = None) -> Rate:
        """Read a rate: number or {"value", "jobs", "source", "pinned_because"}; or the default."""
        raw = self.raw(name)
        if raw is None:
            return default.rate(self.at(name))
        if isinstance(raw, Mapping):
            return self._rate_with_record(self.child(name), default.unit, within)
        value = self.number(name, default.unit, within)
        return Rate(value, default.unit, "the takeoff's own rate")

    def _rate_with_record(self, node: "Node", unit: str, within: Limits | None) -> Rate:
        value = node.number("value", unit, within)
        jobs = node.whole("jobs", limits(zero=True))
        reason, source = node.text("pinned_because"), node.text("source")
        if reason:
            return Rate(value, unit, f"pinned by hand: {reason}", jobs=jobs)
        if jobs:
            words = f"learned from {jobs} {'job' if jobs == 1 else 'jobs'}"
            return Rate(value, unit, source or words, jobs=jobs)
        return Rate(value, unit, source or "the takeoff's own rate")

    def whole(self, name: str, within: Limits | None = None, default: int | None = 0) -> int:
        """Return a whole number; a default of None means that it must be there."""
        value = self.number(name, "", within) if default is None else self.maybe(name, "", within)
        if value is None:
            return default or 0
        if value.denominator != 1:
            raise self.fail(
                name, _("%(value)s is not a whole number"), value=quoted(self.data[name])
            )
        return value.numerator

    def text(self, name: str, default: str = "") -> str:
        """Return a short text."""
        raw = self.raw(name)
        if raw is None:
            return default
        if not isinstance(raw, str) or len(raw) > TEXT_LENGTH:
            raise self.fail(
                name, _("expected a text of at most %(most)d characters"), most=TEXT_LENGTH
            )
        return raw

    def choice(self, name: str, choices: Sequence[str], default: str = "") -> str:
        """Return one word of a list; without a default it must be there."""
        raw = self.raw(name)
        if raw is None and default:
            return default
        if not isinstance(raw, str) or raw not in choices:
            raise not_one_of(self, name, raw, choices)
        return raw

    def flag(self, name: str, default: bool = False) -> bool:
        """Return true or false."""
        raw = self.raw(name)
        if raw is None:
            return default
        if not isinstance(raw, bool):
            raise self.fail(name, _("expected true or false, not %(value)s"), value=quoted(raw))
        return raw

    def child(self, name: str) -> "Node":
        """Return an object within; an empty one where it is left out."""
        if name not in self._within:
            raw = self.raw(name)
            self._within[name] = Node({} if raw is None else raw, self.at(name), self.assumed)
        return self._within[name]

    def over(self, base: Mapping[str, object]) -> "Node":
        """Return the same object laid over another that fills what it leaves out."""
        given = ((key, value) for key, value in self.data.items() if value is not None)
        merged: dict[object, object] = {**{key: base[key] for key in base}, **dict(given)}
        node = Node(merged, self.path, self.assumed)
        node._known, node._within = self._known, self._within
        return node

    def children(self, name: str) -> list["Node"]:
        """Return a list of objects within; empty where it is left out."""
        return [
            self._within.setdefault(key, Node(item, self.at(key), self.assumed))
            for key, item in (
                (f"{name}[{index}]", item) for index, item in enumerate(self.items(name))
            )
        ]

    def numbers(self, name: str, unit: str, within: Limits | None = None) -> list[Fraction]:
        """Return a list of numbers; empty where it is left out."""
        values: dict[object, object] = {
            f"{name}[{index}]": item for index, item in enumerate(self.items(name))
        }
        node = Node(values, self.path, self.assumed)
        return [node.number(str(key), unit, within) for key in values]

    def items(self, name: str) -> list[object]:
        """Return a list as it stands; empty where it is left out."""
        raw = self.raw(name)
        if raw is None:
            return []
        if not isinstance(raw, list | tuple):
            raise self.fail(name, _("expected a list, not %(kind)s"), kind=kind_of(raw))
        return list(raw)

    def unread(self) -> list[str]:
        """Return the fields nobody asked for, here and within, each with the nearest known name."""
        found = [str(name) for name in self.data if name not in self._known]
        here = [f"{self.at(name)}{nearest(name, self._known)}" for name in sorted(found)]
        return here + [name for node in self._within.values() for name in node.unread()]

    def _nearest_unread(self, name: str) -> Value:
        others = [str(other) for other in self.data if other not in self._known]
        match = difflib.get_close_matches(name, others, n=1, cutoff=0.7)
        if not match:
            return ""
        return Sentence(_(" (is %(name)s meant for it?)"), {"name": repr(match[0])})


def note(assumed: AssumedByPath, path: str, value: Plain | str, unit: str, source: str) -> None:
    """Note that a default stands where the takeoff is silent."""
    assumed[path] = Assumed(path, value, unit, source)


def kind_of(value: object) -> str:
    """Return what a JSON value is, in words."""
    if value is None:
        return _("nothing")
    names = {
        str: _("a text"),
        bool: _("true or false"),
        list: _("a list"),
        dict: _("an object"),
    }
    return names.get(type(value), _("a number"))


def _with_unit(templates: tuple[str, str], unit: str, **values: Value) -> Sentence:
    """Return the first of two templates with the unit, or the second where there is none."""
    with_it, without = templates
    return Sentence(with_it, {**values, "unit": unit}) if unit else Sentence(without, values)


def nearest(word: str, known: Iterable[str]) -> Value:
    """Return a hint in brackets at the nearest known word, or nothing."""
    match = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return Sentence(_(" (nearest known: %(name)s)"), {"name": match[0]}) if match else ""


def not_one_of(node: Node, name: str, value: object, choices: Sequence[str]) -> TakeoffError:
    """Return the refusal of a word, with the list and the nearest."""
    listed = ", ".join(choices)
    if value is None:
        return node.lacks(name, _("is missing; expected one of %(choices)s"), choices=listed)
    return node.fail(
        name,
        _("%(value)s is not known; expected one of %(choices)s%(near)s"),
        value=quoted(value),
        choices=listed,
        near=nearest(value, choices) if isinstance(value, str) else "",
    )
