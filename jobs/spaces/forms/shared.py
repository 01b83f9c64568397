"""Fields and groups that several kinds of space share; knows no kind."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from contractor.models import Material
from jobs.spaces.forms.fields import AreaField, NumberField
from jobs.spaces.forms.space import ABOUT, CODE, FieldGroup

LB_PER_FT3 = "lb/ft³"
FILLS = [
    ("", _("as the density says")),
    ("dense", _("dense, packed")),
    ("open", _("open blow")),
]
COVERS = [
    ("", _("not known yet")),
    ("net", _("net, which we staple")),
    ("board", _("board, already up")),
    ("none", _("nothing")),
]
ABOUT_GROUP = FieldGroup(_("About this space"), ABOUT)
_SUGGESTED = _("A suggestion from the table of the edition. The adopted local code decides.")
CODE_GROUP = FieldGroup(_("What the code suggests"), CODE[:3], hint=_SUGGESTED)
CEILING_CODE_GROUP = FieldGroup(_("What the code suggests"), CODE, hint=_SUGGESTED)


def target_field(help_text: Any = "") -> NumberField:
    """Make the field of the R-value that is asked for."""
    return NumberField(label=_("Target R-value"), unit="R", help_text=help_text)


def material_field() -> "forms.ModelChoiceField[Material]":
    """Make the field of what it is filled with; the form of a space says which materials may be."""
    return forms.ModelChoiceField(
        queryset=Material.objects.none(),
        required=False,
        label=_("Material"),
        empty_label=_("generic figures"),
    )


def density_field() -> NumberField:
    """Make the field of the pounds in a cubic foot."""
    return NumberField(
        label=_("Density"),
        unit=LB_PER_FT3,
        help_text=_("Left empty, the material's own."),
    )


def masking_field() -> AreaField:
    """Make the field of the area to be masked before a blow."""
    return AreaField(label=_("Masking"), help_text=_("Sheeting over floors, windows, fixtures."))
