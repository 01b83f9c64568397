"""The measures of a space as they were typed in, laid out for reading; reckons nothing."""

from django.utils.translation import gettext

from jobs.estimates.views import Fact
from jobs.models import Space
from jobs.spaces.forms.kinds import measures_beyond
from jobs.wording import number, word


def space_measures(space: Space) -> list[Fact]:
    """Return the measures that were typed in, each with its unit; what was left out is left out."""
    seals = space.kind == Space.Kind.AIR_SEAL
    rows = (
        (gettext("Area"), space.area_ft2, "ft²"),
        (gettext("Bays"), space.bays, ""),
        (gettext("Top plate") if seals else gettext("Length"), space.length_ft, "ft"),
        (gettext("Run"), space.run_ft, "ft"),
        (gettext("Pitch"), space.pitch, gettext("in 12")),
        (gettext("Depth"), space.depth_in, "in"),
        (gettext("Spacing"), space.spacing_in, "in"),
        (gettext("Vent space"), space.vent_in, "in"),
        (gettext("Cover"), word(space.get_cover_display()) or None, ""),
        (gettext("Target"), space.target_r and f"R-{number(space.target_r)}", ""),
        (gettext("Material"), space.material and space.material.name, ""),
        (gettext("Density"), space.lb_per_ft3, "lb/ft³"),
        (gettext("Board"), space.board_in, "in"),
        (gettext("Framing"), space.framing_in, "in"),
        (gettext("Wire holes") if seals else gettext("Pieces"), space.count, ""),
    )
    return [
        (label, f"{number(value, 3)} {unit}".strip())
        for label, value, unit in rows
        if value is not None
    ] + measures_beyond(space)
