"""The forms of attic flats and slope bays, in the words of the trade."""

from decimal import ROUND_CEILING, Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.spaces.forms.fields import (
    BOARDS,
    LUMBER,
    SPACINGS,
    AreaField,
    AreasField,
    CountField,
    FeetField,
    InchField,
    LengthsField,
    NumberField,
    PitchField,
    RunsField,
)
from jobs.spaces.forms.shared import (
    ABOUT_GROUP,
    CEILING_CODE_GROUP,
    CODE_GROUP,
    COVERS,
    FILLS,
    LB_PER_FT3,
    density_field,
    masking_field,
    material_field,
    target_field,
)
from jobs.spaces.forms.space import CODE, CeilingCodeFields, CodeFields, FieldGroup, SpaceForm


class AtticForm(CodeFields, SpaceForm):
    """Attic flat."""

    suggests = "ceiling"
    takes_code_r = True
    aids = ("version", *CODE)
    groups = (
        FieldGroup(
            _("Measures"),
            ("area_ft2", "attics", "target_r", "material"),
            hint=_("Net area, without chimneys and stairs."),
        ),
        FieldGroup(_("Ceiling board that carries it"), ("board_in", "framing_in")),
        FieldGroup(_("Hatches, dams, masking"), ("hatches", "dam_ft", "masking_ft2")),
        FieldGroup(
            _("What lies there already (top-up)"),
            ("existing_r", "existing_depth_in", "existing_lb_per_ft3"),
            hint=_("Its R is taken off the target; its weight counts for the ceiling board."),
            seldom=True,
        ),
        FieldGroup(
            _("At the eave"),
            ("heel_in", "vent_in", "pitch"),
            hint=_("Tells whether the full depth fits over the wall plate."),
            seldom=True,
        ),
        CODE_GROUP,
        ABOUT_GROUP,
    )
    area_ft2 = AreaField(label=_("Net area"))
    attics = AreasField(
        label=_("Separate attics"),
        unit="ft²",
        help_text=_("One area on each line. Each gets depth markers of its own."),
    )
    target_r = target_field(_("Left empty, the code's figure for the zone below."))
    material = material_field()
    board_in = InchField(label=_("Board thickness"), suggest=BOARDS)
    framing_in = InchField(label=_("Framing spacing"), suggest=SPACINGS)
    hatches = CountField(label=_("Hatches"), help_text=_("Each gets a dam and a lid."))
    dam_ft = FeetField(label=_("Other dams"), help_text=_("At stairs, platforms, open edges."))
    masking_ft2 = masking_field()
    existing_r = NumberField(label=_("R that lies there"), unit="R")
    existing_depth_in = InchField(label=_("Depth that lies there"))
    existing_lb_per_ft3 = NumberField(label=_("Density of what lies there"), unit=LB_PER_FT3)
    heel_in = InchField(label=_("Heel height over the plate"))
    vent_in = InchField(label=_("Vent space at the eave"))
    pitch = PitchField(label=_("Pitch"))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if cleaned.get("attics") and not cleaned.get("area_ft2") and "area_ft2" not in self.errors:
            cleaned["area_ft2"] = sum(Decimal(area) for area in cleaned["attics"])
        return cleaned


class SlopeForm(CeilingCodeFields, SpaceForm):
    """Slope bays of a cathedral ceiling."""

    suggests = "ceiling"
    aids = ("version", "house_width_ft", "house_length_ft", *CODE)
    groups = (
        FieldGroup(
            _("Roof"),
            ("pitch", "house_width_ft", "house_length_ft"),
            hint=_(
                "A plain gable roof needs no more than this: both slopes are counted and the run"
                " is half the width. For any other roof leave width and length empty."
            ),
        ),
        FieldGroup(
            _("Bays, where they are counted"),
            ("bays", "length_ft", "run_ft"),
            hint=_("All bays of this space, both sides together. Slope length, or run and pitch."),
        ),
        FieldGroup(_("Mixed lengths, hips and valleys"), ("runs", "lengths_ft"), seldom=True),
        FieldGroup(_("Rafters"), ("depth_in", "spacing_in", "vent_in", "rafter_width_in")),
        FieldGroup(_("Fill"), ("material", "lb_per_ft3", "fill", "cover", "board_in", "target_r")),
        FieldGroup(_("Masking"), ("masking_ft2",), seldom=True),
        CEILING_CODE_GROUP,
        ABOUT_GROUP,
    )
    house_width_ft = FeetField(label=_("Width across the ridge"))
    house_length_ft = FeetField(label=_("Length along the ridge"))
    bays = CountField(label=_("Bays"))
    length_ft = FeetField(label=_("Slope length"))
    run_ft = FeetField(label=_("Level run"), help_text=_("With the pitch, in place of the length."))
    pitch = PitchField(label=_("Pitch"), help_text=_("Such as 6/12."))
    runs = RunsField(
        label=_("Bays of mixed lengths"),
        help_text=_(
            "On each line bays x length: 12 x 15' 8\", or bays x run @ pitch: 4 x 9 @ 6/12"
        ),
    )
    lengths_ft = LengthsField(
        label=_("Hip and valley bays"), unit=_("ft"), help_text=_("One length on each line.")
    )
    depth_in = InchField(label=_("Rafter depth"), suggest=LUMBER, help_text=_("11.25 or 2x12."))
    spacing_in = InchField(label=_("Rafter spacing"), suggest=SPACINGS, help_text=_("On center."))
    rafter_width_in = InchField(label=_("Rafter width"))
    vent_in = InchField(label=_("Vent space"), help_text=_("Air left under the roof sheathing."))
    material = material_field()
    lb_per_ft3 = density_field()
    fill = forms.ChoiceField(required=False, choices=FILLS, label=_("Fill"))
    cover = forms.ChoiceField(required=False, choices=COVERS, label=_("Cover of the bays"))
    board_in = InchField(label=_("Board thickness"), suggest=BOARDS)
    target_r = target_field()
    masking_ft2 = masking_field()

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        self._from_the_house(cleaned)
        return cleaned

    def _from_the_house(self, cleaned: dict[str, Any]) -> None:
        """Take bays = 2 x length / spacing, a part of a bay counting whole; run = width / 2."""
        length_ft, spacing_in = cleaned.get("house_length_ft"), cleaned.get("spacing_in")
        measured = any(cleaned.get(name) for name in ("bays", "runs", "lengths_ft"))
        if length_ft and spacing_in and not measured and "bays" not in self.errors:
            a_side = (length_ft * 12 / spacing_in).to_integral_value(ROUND_CEILING)
            cleaned["bays"] = 2 * int(a_side)
        width_ft = cleaned.get("house_width_ft")
        if width_ft and not (cleaned.get("length_ft") or cleaned.get("run_ft")):
            cleaned["run_ft"] = width_ft / 2
