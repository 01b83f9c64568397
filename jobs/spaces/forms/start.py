"""What a space's form starts from: usual measures, materials of the kind, the branch's code."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils.translation import gettext

from contractor.models import Material
from jobs.estimates.takeoff import MATERIAL_ROWS
from jobs.models import Job, Space

_LOOSE, _BATT = Material.Kind.LOOSE_FILL, Material.Kind.BATT
MATERIALS: Mapping[str, tuple[str, ...]] = {
    Space.Kind.ATTIC_FLAT: (_LOOSE,),
    Space.Kind.SLOPE_BAYS: (_LOOSE,),
    Space.Kind.AIR_SEAL: (Material.Kind.FOAM_CAN,),
}
# Written into an empty form where they can be seen and changed, never taken in silence.
USUAL: Mapping[str, dict[str, Any]] = {
    Space.Kind.SLOPE_BAYS: {
        "spacing_in": Decimal(16),
        "vent_in": Decimal(1),
        "details": {"rafter_width_in": "1.5"},
    },
    Space.Kind.WALLS: {"spacing_in": Decimal(16)},
    Space.Kind.KNEE_WALL: {"spacing_in": Decimal(16)},
    Space.Kind.RIM: {"spacing_in": Decimal(16)},
    Space.Kind.FLOOR: {"spacing_in": Decimal(16)},
}


def materials_for(kind: str) -> "QuerySet[Material]":
    """Return the materials that such a space may be filled with."""
    kinds = MATERIALS.get(kind, (_LOOSE, _BATT))
    rows = (name.removeprefix("material__") for name in MATERIAL_ROWS)
    return Material.objects.filter(kind__in=kinds).prefetch_related(*rows)


def new_space(job: Job, kind: str) -> Space:
    """Return a space that is not saved, with the usual measures, material and a name of its own."""
    usual = job.site.branch.usual_materials.filter(space_kind=kind).select_related("material")
    chosen = usual.first()
    return Space(
        job=job,
        kind=kind,
        name=_free_name(job, kind),
        material=chosen.material if chosen else None,
        **USUAL.get(kind, {}),
    )


def _free_name(job: Job, kind: str) -> str:
    name = gettext(Space.Kind(kind).label)
    taken = set(job.spaces.values_list("name", flat=True))
    numbers = (f"{name} {number}" for number in range(2, len(taken) + 3))
    return next(one for one in (name, *numbers) if one not in taken)


def remembered_code(job: Job) -> dict[str, Any]:
    """Return the branch's edition and zone; if it has none, the newest space's that names them."""
    branch = job.site.branch
    if branch.code_edition is not None:
        return {
            "edition": branch.code_edition,
            "zone": branch.climate_zone,
            "marine": branch.zone_is_marine,
        }
    spaces = Space.objects.filter(job__site__branch=branch, details__has_key="code")
    newest = spaces.order_by("-id").values_list("details", flat=True).first()
    return {**newest["code"]} if newest else {}
