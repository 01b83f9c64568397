"""Forms about materials: their facts, and the table that a page or a sheet fills."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from contractor.models import Material
from jobs.sheets.cells import Raw
from jobs.sheets.tables import COLUMNS_OF, MOST_TABLE_ROWS, WEIGHT, Table, table_of
from jobs.wording import number

BLANK_ROWS = 3
_DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
_LOOSE = (
    "bag_lb",
    "open_lb_per_ft3",
    "dense_lb_per_ft3",
    "dense_minimum_lb_per_ft3",
    "settle",
    "settled_lb_per_ft3",
)
_SHARED = ("chart_source", "valid_from", "valid_to")
# Which facts a kind of material has, beside its name.
FACTS_OF: Mapping[str, tuple[str, ...]] = {
    Material.Kind.LOOSE_FILL: (*_LOOSE, *_SHARED),
    Material.Kind.BATT: _SHARED,
    Material.Kind.FOAM_CAN: ("can_board_ft", "chart_source"),
}
TABLES_OF: Mapping[str, tuple[str, ...]] = {
    Material.Kind.LOOSE_FILL: ("chart", "cavity"),
    Material.Kind.BATT: ("batts",),
    Material.Kind.FOAM_CAN: (),
}


def _figure(label: Any, *, most: int = 200, places: int = 3) -> forms.DecimalField:
    return forms.DecimalField(
        required=False, min_value=0, max_value=most, decimal_places=places, label=label
    )


class NewMaterialForm(forms.Form):
    """A material's name and kind; loose fill needs the weight of its bag at once."""

    name = forms.CharField(max_length=80, label=_("Name"))
    key = forms.SlugField(max_length=40, label=_("Name in sheets"))
    kind = forms.ChoiceField(choices=Material.Kind.choices, label=_("Kind"))
    bag_lb = _figure(_("Bag, lb (loose fill)"), places=2)


class MaterialForm(forms.Form):
    """The facts of a material, those of its kind only."""

    version = forms.IntegerField(min_value=1, widget=forms.HiddenInput, label=_("Version"))
    name = forms.CharField(max_length=80, label=_("Name"))
    bag_lb = _figure(_("Bag, lb"), places=2)
    open_lb_per_ft3 = _figure(_("Open blow, lb/ft³"), most=6)
    dense_lb_per_ft3 = _figure(_("Dense fill, lb/ft³"), most=6)
    dense_minimum_lb_per_ft3 = _figure(_("Least dense fill, lb/ft³"), most=6)
    settle = _figure(_("Settling, share of the initial thickness"), most=1)
    settled_lb_per_ft3 = _figure(_("Settled, lb/ft³"), most=6)
    can_board_ft = _figure(_("Board-feet of a can"), most=1000, places=2)
    chart_source = forms.CharField(required=False, max_length=200, label=_("Source of the chart"))
    valid_from = forms.DateField(required=False, widget=_DAY, label=_("Chart holds from"))
    valid_to = forms.DateField(required=False, widget=_DAY, label=_("Chart holds to"))

    def __init__(self, data: Any = None, *, material: Material) -> None:
        kept = ("version", "name", *FACTS_OF[material.kind])
        super().__init__(data, initial={name: getattr(material, name) for name in kept})
        for name in set(self.fields) - set(kept):
            del self.fields[name]

    def facts(self) -> dict[str, Any]:
        """Return the facts by the material's field names."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


@dataclass(frozen=True)
class TypedTable:
    """A table as a page holds it: lines of texts, in the order of the columns."""

    name: str
    lines: tuple[tuple[str, ...], ...]

    @property
    def columns(self) -> tuple[str, ...]:
        """The names of the columns."""
        return tuple(column.name for column in COLUMNS_OF[self.name])

    @property
    def with_room(self) -> list[list[tuple[str, str, bool]]]:
        """The lines and some empty ones: name, text and whether it is a plain number."""
        blank = tuple("" for _ in self.columns)
        lines = [*self.lines, *([blank] * BLANK_ROWS)]
        return [
            [(name, text, name != WEIGHT) for name, text in zip(self.columns, line, strict=True)]
            for line in lines
        ]

    @classmethod
    def of_rows(cls, name: str, rows: Iterable[object]) -> "TypedTable":
        """Return the table as its rows stand."""
        names = [column.name for column in COLUMNS_OF[name]]
        return cls(name, tuple(tuple(_text(getattr(row, n), n) for n in names) for row in rows))

    @classmethod
    def of_table(cls, name: str, table: Table) -> "TypedTable":
        """Return the table as a sheet has it."""
        names = [column.name for column in COLUMNS_OF[name]]
        return cls(
            name,
            tuple(tuple(_text(row.values.get(n), n) for n in names) for row in table.rows),
        )

    @classmethod
    def posted(cls, name: str, data: QueryDict) -> "TypedTable":
        """Return the table as it was typed; lines that say nothing are left out."""
        names = [column.name for column in COLUMNS_OF[name]]
        columns = [data.getlist(n)[: MOST_TABLE_ROWS + 1] for n in names]
        longest = max(map(len, columns), default=0)
        lines = [
            tuple(column[index] if index < len(column) else "" for column in columns)
            for index in range(longest)
        ]
        return cls(name, tuple(line for line in lines if any(text.strip() for text in line)))

    def read(self) -> Table:
        """Return the table read as a sheet is, its lines counted from 1."""
        cells: list[Sequence[Raw]] = [self.columns, *self.lines]
        return table_of(cells, self.name, first=1)


def _text(value: object, name: str) -> str:
    """Return a figure as it is typed; a weight as it is written."""
    if name == WEIGHT or value is None:
        return str(value or "")
    return number(value, 3).replace(",", "")
