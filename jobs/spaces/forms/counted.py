"""The forms of what is counted: air sealing and baffles."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, ClassVar

from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from jobs.models import Space
from jobs.spaces.forms.fields import AreaField, CountField, FeetField
from jobs.spaces.forms.numbers import written
from jobs.spaces.forms.shared import ABOUT_GROUP, material_field
from jobs.spaces.forms.space import FieldGroup, SpaceForm

_ITEM = re.compile(r"items\[(\d+)\]")


class AirSealForm(SpaceForm):
    """Air sealing by counted items. Plate feet and wire holes are columns, the rest are items."""

    groups = (
        FieldGroup(
            _("Counted items"),
            (
                "length_ft",
                "count",
                "seal_pipe_hole",
                "seal_duct_boot",
                "seal_box",
                "seal_chase",
                "seal_flue",
                "seal_hatch",
            ),
            hint=_("Flues get metal and fire-rated sealant, never foam."),
        ),
        FieldGroup(_("Foam"), ("material",)),
        ABOUT_GROUP,
    )
    length_ft = FeetField(label=_("Top plate"), help_text=_("All plates, partitions too."))
    count = CountField(label=_("Wire holes"))
    seal_pipe_hole = CountField(label=_("Pipe holes"))
    seal_duct_boot = CountField(label=_("Duct boots"))
    seal_box = CountField(label=_("Electrical boxes"))
    seal_chase = AreaField(label=_("Open chases"))
    seal_flue = CountField(label=_("Flues and chimneys"))
    seal_hatch = CountField(label=_("Hatches"))
    material = material_field()

    _UNITS: ClassVar[Mapping[str, str]] = {
        "pipe_hole": "count",
        "duct_boot": "count",
        "box": "count",
        "chase": "ft2",
        "flue": "count",
        "hatch": "count",
    }

    def _initial(self, space: Space, code: Mapping[str, Any]) -> dict[str, Any]:
        found = super()._initial(space, code)
        for item in filter(self._counts, space.details.get("items", ())):
            found[f"seal_{item['kind']}"] = item.get("count", item.get("ft2"))
        return found

    def _details(self) -> dict[str, object]:
        details = super()._details()
        items = [item for item in self.space.details.get("items", ()) if not self._counts(item)]
        items += [
            {"kind": kind, unit: _kept(self.cleaned_data[f"seal_{kind}"])}
            for kind, unit in self._UNITS.items()
            if self.cleaned_data.get(f"seal_{kind}")
        ]
        return {**details, "items": items} if items else details

    def _counts(self, item: Mapping[str, Any]) -> bool:
        return item["kind"] in self._UNITS

    def _is_kept(self, name: str) -> bool:
        return not name.startswith("seal_") and super()._is_kept(name)

    def _asks(self, name: str) -> bool:
        return name == "items" or super()._asks(name)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if not self.errors and not any(cleaned.get(name) for name in self._counted()):
            words = _("Count at least one thing to seal.")
            self.add_error("length_ft", ValidationError(words, code="required"))
        for name in ("length_ft", "count"):
            cleaned[name] = cleaned.get(name) or None
        return cleaned

    def _counted(self) -> tuple[str, ...]:
        return ("length_ft", "count", *(f"seal_{kind}" for kind in self._UNITS))

    def elsewhere(self, path: str) -> str | None:
        """Find items by their place: columns come first, then the others in the form's order."""
        found = _ITEM.match(path)
        if found is None:
            return super().elsewhere(path)
        names = [name for name in self._counted() if self.cleaned_data.get(name)]
        place = int(found[1])
        return names[place] if place < len(names) else "length_ft"


def _kept(value: Decimal | int) -> str | int:
    return written(value) if isinstance(value, Decimal) else value


class BafflesForm(SpaceForm):
    """Baffles."""

    groups = (
        FieldGroup(
            _("Pieces"),
            ("count", "bays", "length_ft", "piece_ft"),
            hint=_("The number of pieces, or bays with the length to be kept open."),
        ),
        ABOUT_GROUP,
    )
    count = CountField(label=_("Pieces"))
    bays = CountField(label=_("Vented bays"))
    length_ft = FeetField(label=_("Length in each bay"), help_text=_("Empty: one piece a bay."))
    piece_ft = FeetField(label=_("Length of a piece"))
