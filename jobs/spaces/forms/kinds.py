"""Which form belongs to which kind of space, and what a space has beyond its columns."""

from collections.abc import Mapping

from django.utils.translation import gettext

from contractor.models import Material
from jobs.models import Space
from jobs.spaces.forms.blown import AtticForm, SlopeForm
from jobs.spaces.forms.counted import AirSealForm, BafflesForm
from jobs.spaces.forms.framed import FloorForm, KneeWallForm, RimForm, WallsForm
from jobs.spaces.forms.space import CODE, COLUMNS, SpaceForm, is_nothing

FORMS: Mapping[str, type[SpaceForm]] = {
    Space.Kind.ATTIC_FLAT: AtticForm,
    Space.Kind.SLOPE_BAYS: SlopeForm,
    Space.Kind.WALLS: WallsForm,
    Space.Kind.RIM: RimForm,
    Space.Kind.KNEE_WALL: KneeWallForm,
    Space.Kind.FLOOR: FloorForm,
    Space.Kind.AIR_SEAL: AirSealForm,
    Space.Kind.BAFFLES: BafflesForm,
}


def measures_beyond(space: Space) -> list[tuple[str, str]]:
    """Return the measures that are no columns, by their names on the form, each with its unit."""
    if not space.details:
        return []
    form = FORMS[space.kind](space=space, version=1, materials=Material.objects.none())
    found = []
    for name, field in form.fields.items():
        value = form.initial.get(name)
        if name in COLUMNS or name in CODE or name == "version" or is_nothing(value):
            continue
        text = gettext("yes") if value is True else str(field.prepare_value(value))
        unit = getattr(field, "unit", "")
        found.append((str(field.label), f"{text} {unit}".replace("\n", "; ").strip()))
    return found
