"""The forms of walls, knee walls, rims and floors, in the words of the trade."""

from typing import ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.spaces.forms.fields import (
    BOARDS,
    LUMBER,
    SPACINGS,
    AreaField,
    FeetField,
    InchField,
    NumberField,
    OpeningsField,
)
from jobs.spaces.forms.shared import (
    ABOUT_GROUP,
    CODE_GROUP,
    FILLS,
    density_field,
    masking_field,
    material_field,
    target_field,
)
from jobs.spaces.forms.space import CODE, CodeFields, FieldGroup, SpaceForm


class FramedForm(SpaceForm):
    """Framed cavities: batts, or a dense fill."""

    openings_ft2 = AreaField(label=_("Openings"))
    openings = OpeningsField(
        label=_("Or each opening"),
        unit=_("in"),
        help_text=_("Windows and doors, one on each line, width x height: 36 x 48"),
    )
    spacing_in = InchField(label=_("Framing spacing"), suggest=SPACINGS, help_text=_("On center."))
    stud_width_in = InchField(label=_("Framing width"))
    depth_in = InchField(label=_("Depth"), suggest=LUMBER, help_text=_("5.5 or 2x6."))
    framing_factor = NumberField(
        label=_("Share that is framing"),
        help_text=_("Such as 0.25; left empty, width over spacing. For a dense fill."),
    )
    waste = NumberField(label=_("Waste of batts"), help_text=_("Such as 0.05."))
    material = material_field()
    target_r = target_field()
    lb_per_ft3 = density_field()
    fill = forms.ChoiceField(required=False, choices=FILLS, label=_("Fill"))
    board_in = InchField(label=_("Board thickness"), suggest=BOARDS)
    masking_ft2 = masking_field()

    framing: ClassVar[FieldGroup] = FieldGroup(
        _("Framing"), ("spacing_in", "stud_width_in", "depth_in", "framing_factor")
    )
    filling: ClassVar[FieldGroup] = FieldGroup(
        _("Batts or fill"),
        ("material", "target_r", "lb_per_ft3", "fill", "board_in", "waste"),
        hint=_("Batts are picked by width, depth and target; density is for a dense fill."),
    )

    def elsewhere(self, path: str) -> str | None:
        """Find a run of studs at the length, as which it is kept."""
        found = {"stud_run_ft": "length_ft", "rafter_width_in": "stud_width_in"}
        return found.get(path) or super().elsewhere(path)


class WallsForm(CodeFields, FramedForm):
    """Wall cavities."""

    suggests = "wall"
    aids = ("version", *CODE)
    groups = (
        FieldGroup(
            _("Measures"),
            ("area_ft2", "length_ft", "height_ft", "openings_ft2", "openings"),
            hint=_("Gross area, or length and height; openings are taken off."),
        ),
        FramedForm.framing,
        FramedForm.filling,
        FieldGroup(_("Masking"), ("masking_ft2",), seldom=True),
        CODE_GROUP,
        ABOUT_GROUP,
    )
    area_ft2 = AreaField(label=_("Gross area"))
    length_ft = FeetField(label=_("Length of wall"))
    height_ft = FeetField(label=_("Stud height"))


class KneeWallForm(WallsForm):
    """Knee walls, measured as walls."""


class RimForm(FramedForm):
    """Rim between floors."""

    groups = (
        FieldGroup(
            _("Measures"),
            ("length_ft", "height_in", "area_ft2"),
            hint=_("Length and height of the rim, or its area."),
        ),
        FieldGroup(_("Joists"), ("spacing_in", "stud_width_in", "depth_in", "framing_factor")),
        FramedForm.filling,
        FieldGroup(
            _("Openings and masking"), ("openings_ft2", "openings", "masking_ft2"), seldom=True
        ),
        ABOUT_GROUP,
    )
    length_ft = FeetField(label=_("Length of rim"))
    height_in = InchField(label=_("Height of rim"), suggest=LUMBER)
    area_ft2 = AreaField(label=_("Area"))
    depth_in = InchField(
        label=_("Depth of the fill"), suggest=LUMBER, help_text=_("As deep as it is filled.")
    )


class FloorForm(FramedForm):
    """Floor over an unheated space."""

    groups = (
        FieldGroup(_("Measures"), ("area_ft2",), hint=_("Gross area, joists included.")),
        FieldGroup(_("Joists"), ("spacing_in", "stud_width_in", "depth_in", "framing_factor")),
        FramedForm.filling,
        FieldGroup(
            _("Openings and masking"), ("openings_ft2", "openings", "masking_ft2"), seldom=True
        ),
        ABOUT_GROUP,
    )
    area_ft2 = AreaField(label=_("Gross area"))
