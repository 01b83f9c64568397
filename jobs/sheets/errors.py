"""What is wrong with a sheet, by row and column; must not know how a sheet is read."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

MOST_SHOWN = 60


def marked(text: str) -> str:
    """Return the text. Under the name `_` it marks words for the tool that collects messages."""
    return text


_ = marked


class Word(str):
    """A value that is a word of ours, such as a unit: it is translated when it is shown."""

    __slots__ = ()


Alternatives = tuple[tuple[str, ...], ...]
Value = str | int | Alternatives
OR, WITH = _(", or "), _(" with ")


@dataclass(frozen=True)
class Expected:
    """What was expected: a template that can be translated, and values.

    Of the values only a `Word` is translated; names that go together are joined by "with",
    alternatives of such by "or".
    """

    template: str
    values: Mapping[str, Value] = field(default_factory=dict)

    def render(self, translate: Callable[[str], str] = marked) -> str:
        """Return the words with the template translated and the values put in."""
        values = {name: self._shown(value, translate) for name, value in self.values.items()}
        return translate(self.template) % values

    @staticmethod
    def _shown(value: Value, translate: Callable[[str], str]) -> str | int:
        if isinstance(value, tuple):
            return translate(OR).join(translate(WITH).join(names) for names in value)
        # An empty word is left alone: catalogues of messages keep their header under "".
        return translate(str(value)) if isinstance(value, Word) and value else value

    def __str__(self) -> str:
        return self.render()


@dataclass(frozen=True)
class SheetError:
    """One error. Row 0 is the file as a whole; row 1 is the header; `value` is as written."""

    row: int
    column: str
    value: str
    expected: Expected

    def __str__(self) -> str:
        if not self.row:
            return f"the file: {self.expected}"
        where = f"row {self.row}"
        if self.column:
            where += f", column {self.column}"
        return f'{where}: "{self.value}"; {self.expected}'


class SheetRefused(Exception):
    """A sheet that cannot be read at all; `error` says why."""

    def __init__(self, error: SheetError) -> None:
        super().__init__(str(error))
        self.error = error


def refused(template: str, /, row: int = 0, **values: str | int) -> SheetRefused:
    """Return the refusal of a whole file; `row` where reading got stuck, if known."""
    return SheetRefused(SheetError(row, "", "", Expected(template, values)))


def quoted(value: object) -> str:
    """Return a cell as it stands in a message: short, on one line, nothing that cannot be seen."""
    text = "" if value is None else str(value)
    short = text if len(text) <= MOST_SHOWN else text[: MOST_SHOWN - 1] + "…"
    return "".join(char if char.isprintable() else "\N{REPLACEMENT CHARACTER}" for char in short)
