"""The form of a space: columns and measures beyond them, to and from the row; knows no kind."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from contractor.models import Material
from jobs.conditions.sentences import Sentence
from jobs.estimating import EDITIONS, TakeoffError, code_target
from jobs.estimating.reading import MeasureName
from jobs.models import Space
from jobs.spaces.forms.fields import AreaField, listed
from jobs.spaces.forms.numbers import written
from jobs.wording import word

# What a person writes on every form of a space, and what is kept for the form alone.
ABOUT = ("name", "note", "early")
CODE = ("code_edition", "code_zone", "code_marine", "code_total_ceiling_ft2")
COLUMNS = frozenset(field.name for field in Space._meta.fields) - {
    "id",
    "job",
    "kind",
    "details",
    "estimate",
}
MISSING = "missing"
_QUOTED = re.compile(r"'([0-9.]+)'")
_IN_SPACE = re.compile(r"spaces\[\d+\]\.?(.*)")


def is_nothing(value: object) -> bool:
    """Tell whether nothing was given; a zero is something."""
    return value is None or value is False or value in ("", [])


@dataclass(frozen=True)
class FieldGroup:
    """Fields that stand together under a heading; one that is seldom needed starts closed."""

    title: Any
    names: tuple[str, ...]
    hint: Any = ""
    seldom: bool = False


class SpaceForm(forms.Form):
    """What all kinds of space share; `groups` lays out the fields, in the order of measuring.

    A field is named as takeoff/1 names its measure; `existing_r` stands for `existing.r`.
    """

    groups: ClassVar[tuple[FieldGroup, ...]] = ()
    suggests: ClassVar[str] = ""  # "ceiling" or "wall": what a code's table says for such a space
    takes_code_r: ClassVar[bool] = False
    within: ClassVar[tuple[str, ...]] = ("existing",)
    aids: ClassVar[tuple[str, ...]] = ("version",)  # they help to fill in others, unkept

    version = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    name = forms.CharField(max_length=80, label=_("Name of the space"))
    note = forms.CharField(max_length=200, required=False, label=_("Note"))
    early = forms.BooleanField(
        required=False,
        label=_("On a small visit of its own, before the rest (behind tubs, under stairs)"),
    )

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        space: Space,
        version: int,
        materials: "QuerySet[Material]",
        code: Mapping[str, Any] | None = None,
    ) -> None:
        self.space = space
        self.usual_code = {name: value for name, value in (code or {}).items() if value}
        initial = {**self._initial(space, self.usual_code), "version": version}
        super().__init__(data, initial=initial, use_required_attribute=False, label_suffix="")
        material = self.fields.get("material")
        if isinstance(material, forms.ModelChoiceField):
            material.queryset = materials
        listed(self.fields, self.fields)

    # --- from the row ------------------------------------------------------------------------

    def _initial(self, space: Space, code: Mapping[str, Any]) -> dict[str, Any]:
        details: dict[str, Any] = dict(space.details)
        flat = {name: value for name, value in details.items() if name not in self.within}
        for outer in self.within:
            flat |= {f"{outer}_{name}": value for name, value in details.get(outer, {}).items()}
        flat |= {f"code_{name}": value for name, value in (details.get("code") or code).items()}
        columns = {name: getattr(space, name) for name in COLUMNS}
        return flat | {name: value for name, value in columns.items() if value not in (None, "")}

    # --- to the row --------------------------------------------------------------------------

    def values(self) -> dict[str, object]:
        """Return the fields of the row, `details` among them; only for a form without faults."""
        given = self.cleaned_data
        columns: dict[str, object] = {
            name: given[name] for name in self.fields if name in COLUMNS and name in given
        }
        return {"kind": self.space.kind, **columns, "details": self._details()}

    def _details(self) -> dict[str, object]:
        """Return what is not a column; what this form does not ask stays as it is."""
        details = {name: v for name, v in self.space.details.items() if not self._asks(name)}
        for name, value in self.cleaned_data.items():
            if not self._is_kept(name) or is_nothing(value):
                continue
            outer, inner = self._place(name)
            target = details.setdefault(outer, {}) if outer else details
            target[inner] = written(value) if isinstance(value, Decimal) else value
        # The branch's own code is not copied, so that it can change.
        own_code = self.code if self.code != self.usual_code else {}
        return {**details, "code": own_code} if own_code else details

    def _place(self, name: str) -> tuple[str, str]:
        """Tell where a measure lies: within another (`existing_r`), or by itself."""
        outer = next((one for one in self.within if name.startswith(f"{one}_")), "")
        return outer, name.removeprefix(f"{outer}_") if outer else name

    def _is_kept(self, name: str) -> bool:
        return name not in COLUMNS and name not in CODE and name not in self.aids

    def _asks(self, name: str) -> bool:
        return name in self.fields or name in self.within or name == "code"

    def as_space(self) -> Space:
        """Return the space as it would be: not saved, and not the row that stands."""
        row = {field.attname: getattr(self.space, field.attname) for field in Space._meta.fields}
        space = Space(**{**row, "estimate": {}})
        for name, value in self.values().items():
            setattr(space, name, value)
        return space

    # --- the code's suggestion ---------------------------------------------------------------

    @property
    def code(self) -> dict[str, Any]:
        """Edition, zone and what goes with them, as a space keeps them; empty without both."""
        given = {name.removeprefix("code_"): self.cleaned_data.get(name) for name in CODE}
        if not given["edition"] or not given["zone"]:
            return {}
        given["edition"], given["zone"] = int(given["edition"]), int(given["zone"])
        return {
            name: written(value) if isinstance(value, Decimal) else value
            for name, value in given.items()
            if value
        }

    def clean(self) -> dict[str, Any]:
        """Take the code's R where the target is left open, for spaces that cannot do without."""
        cleaned = super().clean() or self.cleaned_data
        code = self.code
        wanted = self.takes_code_r and "target_r" not in self.errors
        if wanted and code and not cleaned.get("target_r"):
            target = code_target(code["edition"], code["zone"], marine=bool(code.get("marine")))
            cleaned["target_r"] = Decimal(target.ceiling_r)
        return cleaned

    # --- what the estimator refuses ----------------------------------------------------------

    def refuse(self, error: TakeoffError) -> None:
        """Lay a refusal of the estimator about this space at its field, in the form's words."""
        if error.path.endswith(".id"):
            self.add_error("name", _("This job has a space of that name already."))
            return
        code = MISSING if error.is_missing else "refused"
        words = self.spoken(error.sentence)
        self.add_error(self.field_of(error.path), ValidationError(words, code=code))

    def _word(self, text: str) -> str:
        field = self.fields.get(text) if isinstance(text, MeasureName) else None
        if field is not None and field.label:
            return str(field.label).lower()
        quoted_number = _QUOTED.fullmatch(text)
        return quoted_number[1] if quoted_number else word(text)

    def field_of(self, path: str) -> str | None:
        """Return the field a takeoff's path came from; None where it is none of this form's."""
        found = _IN_SPACE.match(path)
        if found is None:
            return (
                "material" if path.startswith("materials.") and "material" in self.fields else None
            )
        parts = re.split(r"[.\[]", found[1])
        for name in ("_".join(parts[:2]), parts[0]):
            if name in self.fields:
                return name
        return self.elsewhere(found[1])

    def elsewhere(self, path: str) -> str | None:
        """Return the field of a measure that bears another name here."""
        return {"id": "name"}.get(path)

    def spoken(self, sentence: Sentence) -> str:
        """Say what the estimator refuses, with measures named as the form calls them."""
        reason = sentence.render(self._word).replace("ft2", "ft²")
        return reason[:1].upper() + reason[1:] + ("" if reason.endswith(".") else ".")

    # --- for the page --------------------------------------------------------------------------

    @property
    def laid_out(self) -> list[dict[str, Any]]:
        """The groups with their bound fields; a seldom one is open where something is in it."""
        return [self._group(group) for group in self.groups]

    def _group(self, group: FieldGroup) -> dict[str, Any]:
        fields = [self[name] for name in group.names]
        used = any(field.errors or not is_nothing(field.value()) for field in fields)
        return {"group": group, "fields": fields, "closed": group.seldom and not used}


class CodeFields(forms.Form):
    """Edition and climate zone, for the suggestion that names its table."""

    code_edition = forms.ChoiceField(
        required=False,
        label=_("Adopted IECC edition"),
        choices=[("", "—"), *((str(year), str(year)) for year in EDITIONS)],
    )
    code_zone = forms.ChoiceField(
        required=False,
        label=_("Climate zone"),
        choices=[("", "—"), *((str(zone), str(zone)) for zone in range(1, 9))],
    )
    code_marine = forms.BooleanField(required=False, label=_("Marine zone (4C)"))


class CeilingCodeFields(CodeFields):
    """The same with the whole ceiling, for the exception of ceilings without an attic."""

    code_total_ceiling_ft2 = AreaField(
        label=_("Insulated ceiling of the whole house"),
        help_text=_("For the exception of 500 ft² and 20 %."),
    )


def form_faults(form: forms.BaseForm) -> list[str]:
    """Return the faults that belong to no field that is seen."""
    hidden = [error for field in form.hidden_fields() for error in field.errors]
    return [str(error) for error in (*form.non_field_errors(), *hidden)]


def only_missing(form: forms.BaseForm) -> bool:
    """Tell whether all that is wrong is that something has not been written yet."""
    faults = [fault for faults in form.errors.as_data().values() for fault in faults]
    return bool(faults) and all(fault.code in ("required", MISSING) for fault in faults)
