"""Fields of a takeoff's form: measures with units, counts, lists; knows no kind of space."""

from collections.abc import Callable, Iterable, Iterator
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.spaces.forms.numbers import (
    NotRead,
    area_read,
    count_read,
    feet_read,
    inches_read,
    number_read,
    pair_read,
    pitch_read,
    written,
)

MOST_LINES = 200
Suggested = tuple[tuple[str, str], ...]
LUMBER: Suggested = (
    ("3.5", "2×4"),
    ("5.5", "2×6"),
    ("7.25", "2×8"),
    ("9.25", "2×10"),
    ("11.25", "2×12"),
)
SPACINGS: Suggested = (("12", ""), ("16", ""), ("19.2", ""), ("24", ""))
BOARDS: Suggested = (("0.375", "3/8"), ("0.5", "1/2"), ("0.625", "5/8"))


class TakeoffField(forms.CharField):
    """One entry in a person's way of writing; `unit` stands beside it, `suggest` in its list."""

    most_characters = 60

    def __init__(self, *, unit: Any = "", suggest: Suggested = (), **kwargs: Any) -> None:
        super().__init__(**{"required": False, **kwargs})
        self.unit, self.suggest = unit, suggest
        self.widget.attrs |= {"autocomplete": "off", "maxlength": str(self.most_characters)}

    def read(self, text: str) -> Any:
        """Return the value that is written there. Raises NotRead."""
        raise NotImplementedError

    def shown(self, value: Any) -> str:
        """Return the value as it stands in the field; what is kept as text is shown as it is."""
        return written(value) if isinstance(value, Decimal) else str(value)

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value) or ""
        if len(text) > self.most_characters:
            words = gettext("Expected at most %(n)s characters.")
            raise ValidationError(words % {"n": self.most_characters})
        try:
            return self.read(text) if text else None
        except NotRead as error:
            raise ValidationError(str(error)) from None

    def prepare_value(self, value: Any) -> Any:
        return value if value is None or isinstance(value, str) else self.shown(value)


class _One(TakeoffField):
    """A single number."""

    mode = "decimal"
    reader: Callable[[str], Any] = staticmethod(number_read)
    unit_of: Any = ""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"unit": self.unit_of, **kwargs})
        self.widget.attrs |= {"inputmode": self.mode, "class": "measure"}

    def read(self, text: str) -> Any:
        return self.reader(text)


class NumberField(_One):
    """A plain number."""


class InchField(_One):
    """Inches; nominal lumber is understood."""

    reader = staticmethod(inches_read)
    unit_of = _("in")
    mode = "text"


class FeetField(_One):
    """Feet; feet and inches are understood."""

    reader = staticmethod(feet_read)
    unit_of = _("ft")
    mode = "text"


class AreaField(_One):
    """Square feet."""

    reader = staticmethod(area_read)
    unit_of = "ft²"


class PitchField(_One):
    """Rise in 12."""

    reader = staticmethod(pitch_read)
    unit_of = _("in 12")
    mode = "text"


class CountField(_One):
    """A whole number of things."""

    reader = staticmethod(count_read)
    mode = "numeric"


class LinesField(TakeoffField):
    """Several entries, one on each line or parted by semicolons, or by commas and spaces."""

    most_characters = 4000

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"widget": forms.Textarea(attrs={"rows": 2}), **kwargs})

    def read(self, text: str) -> list[Any]:
        entries = list(_entries(text))
        if len(entries) > MOST_LINES:
            raise NotRead(gettext("At most %(n)s entries are taken.") % {"n": MOST_LINES})
        return [self.read_one(entry) for entry in entries]

    def read_one(self, text: str) -> Any:
        """Read one entry as the estimator takes it. Raises NotRead."""
        raise NotImplementedError

    def shown(self, value: Any) -> str:
        return "\n".join(self.text_of_one(entry) for entry in value)

    def text_of_one(self, entry: Any) -> str:
        """Write one entry as a person does."""
        return str(entry)


class LengthsField(LinesField):
    """Lengths in feet: hips and valleys."""

    def read_one(self, text: str) -> str:
        return written(feet_read(text))


class AreasField(LinesField):
    """Areas in square feet: separate attics."""

    def read_one(self, text: str) -> str:
        return written(area_read(text))


class RunsField(LinesField):
    """Bays of one length on each line: `12 x 15.65`, or by run and pitch `12 x 14 @ 6/12`."""

    def read_one(self, text: str) -> dict[str, Any]:
        first, second = pair_read(text)
        bays, (length, _at, pitch) = count_read(first), second.partition("@")
        if not pitch:
            return {"bays": bays, "length_ft": written(feet_read(length))}
        run = written(feet_read(length))
        return {"bays": bays, "run_ft": run, "pitch": written(pitch_read(pitch))}

    def text_of_one(self, entry: Any) -> str:
        if "length_ft" in entry:
            return f"{entry['bays']} x {entry['length_ft']}"
        return f"{entry['bays']} x {entry['run_ft']} @ {entry['pitch']}/12"


class OpeningsField(LinesField):
    """Windows and doors, width x height in inches: `36 x 48`."""

    def read_one(self, text: str) -> dict[str, str]:
        width, height = pair_read(text)
        return {"width_in": written(number_read(width)), "height_in": written(number_read(height))}

    def text_of_one(self, entry: Any) -> str:
        return f"{entry['width_in']} x {entry['height_in']}"


def _entries(text: str) -> Iterator[str]:
    for line in text.replace(";", "\n").replace(", ", "\n").splitlines():
        if "," in line:
            words = gettext("“%(text)s”: write each entry on a line of its own, without commas.")
            raise NotRead(words % {"text": line.strip()[:30]})
        if line.strip():
            yield line.strip()


def listed(fields: Iterable[str], every: dict[str, forms.Field]) -> None:
    """Tie each field that suggests values to the list with them."""
    for name in fields:
        if getattr(every[name], "suggest", ()):
            every[name].widget.attrs["list"] = f"id_{name}_list"
