"""Reads untrusted JSON field by field; knows paths and plain types, nothing of planning."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

# Large enough for any real figure, small enough that sums stay exact in 64 bits.
LARGEST_WHOLE = 1_000_000_000
# A whole number of more digits is too large for anything, and slow to read.
MOST_DIGITS = 30
# What is quoted in a message is cut to this.
LONGEST_QUOTE = 40


class FormatError(ValueError):
    """A file is not what it should be; the message starts with the path of the bad field."""


def load_json(text: str | bytes) -> Any:
    """Return the value that `text` spells. Raises FormatError where it is not JSON in UTF-8."""
    try:
        return json.loads(text, parse_int=_whole, object_pairs_hook=_object)
    except FormatError:
        raise
    except RecursionError:
        raise FormatError("file: nested too deeply") from None
    except ValueError as error:
        raise FormatError(f"file: not JSON: {error}") from None


def _whole(digits: str) -> int | float:
    return int(digits) if len(digits) <= MOST_DIGITS else float("inf")


def _object(entries: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(entries)
    if len(found) < len(entries):
        names = [name for name, _ in entries]
        twice = next(name for x, name in enumerate(names) if name in names[:x])
        raise FormatError(f"file: {quote(twice)} stands twice in one object")
    return found


def quote(name: str) -> str:
    """Return a name for a message: in JSON's quotes unless it is plain, and never long."""
    if re.fullmatch(r"[\w./ -]{1,40}", name):
        return name
    return describe(name)


def describe(value: object) -> str:
    """Return a short rendering of a bad value for a message."""
    try:
        text = json.dumps(value)
    except (RecursionError, TypeError, ValueError):
        text = type(value).__name__
    return text if len(text) <= LONGEST_QUOTE else text[: LONGEST_QUOTE - 3] + "..."


@dataclass(frozen=True, slots=True)
class Field:
    """One value of a file together with its path, such as `jobs[3].steps[0].risk`."""

    value: Any
    path: str

    def fail(self, message: str) -> FormatError:
        """Return the error that names this field."""
        return FormatError(f"{self.path or 'file'}: {message}")

    def expect(self, what: str) -> FormatError:
        """Return the error that says what was expected here and what was found."""
        return self.fail(f"expected {what}, found {describe(self.value)}")

    def has(self, key: str) -> bool:
        """Tell whether this is an object with that key."""
        return isinstance(self.value, dict) and key in self.value

    def get(self, key: str) -> Field:
        """Return the field of that name. Raises FormatError where it is missing."""
        if not isinstance(self.value, dict):
            raise self.expect("an object")
        child = f"{self.path}.{quote(key)}" if self.path else quote(key)
        if key not in self.value:
            raise FormatError(f"{child}: missing")
        return Field(self.value[key], child)

    def items(self) -> Iterator[tuple[str, Field]]:
        """Yield key and field of every entry of an object."""
        if not isinstance(self.value, dict):
            raise self.expect("an object")
        for key in self.value:
            yield key, self.get(key)

    def each(self) -> list[Field]:
        """Return the fields of a list."""
        if not isinstance(self.value, list):
            raise self.expect("a list")
        return [Field(value, f"{self.path}[{i}]") for i, value in enumerate(self.value)]

    def text(self) -> str:
        """Return a text that is not empty."""
        if not isinstance(self.value, str) or not self.value:
            raise self.expect("a text")
        if any("\ud800" <= letter <= "\udfff" for letter in self.value):
            raise self.expect("a text that can be written in UTF-8")
        return self.value

    def whole(self, least: int = 0, most: int = LARGEST_WHOLE) -> int:
        """Return a whole number between `least` and `most`, both allowed."""
        if not isinstance(self.value, int) or isinstance(self.value, bool):
            raise self.expect("a whole number")
        if not least <= self.value <= most:
            raise self.expect(f"a whole number from {least} to {most}")
        return self.value

    def share(self) -> float:
        """Return a number between 0 and 1."""
        if not isinstance(self.value, int | float) or isinstance(self.value, bool):
            raise self.expect("a number from 0 to 1")
        if not 0 <= self.value <= 1:
            raise self.expect("a number from 0 to 1")
        return float(self.value)

    def wholes(self, count: int, unit: str, most: int = LARGEST_WHOLE) -> tuple[int, ...]:
        """Return `count` whole numbers up to `most`; `unit` names what there is one each for."""
        return tuple(entry.whole(0, most) for entry in self.counted(count, unit))

    def counted(self, count: int, unit: str) -> list[Field]:
        """Return the fields of a list that must have `count` entries."""
        entries = self.each()
        if len(entries) != count:
            raise self.fail(f"{len(entries)} values for {count} {unit}")
        return entries
