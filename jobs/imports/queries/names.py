"""Branch and material of a row: as named, or the only and usual one; reads no database itself."""

import difflib
from collections.abc import Sequence

from contractor.models import Branch, Material
from jobs.imports.queries.existing import ExistingRows
from jobs.models import Space
from jobs.sheets import Expected, SheetError, SheetRow
from jobs.sheets.errors import marked as _
from jobs.sheets.errors import quoted

_BLOWN_ONLY = frozenset({Space.Kind.ATTIC_FLAT, Space.Kind.SLOPE_BAYS})
_WITHOUT_MATERIAL = frozenset({Space.Kind.AIR_SEAL, Space.Kind.BAFFLES})


def branch_of(row: SheetRow, standing: ExistingRows) -> Branch | SheetError:
    """Return the branch that the row names; an empty one is the only branch that there is."""
    name = row.text("branch")
    names = [branch.name for branch in standing.branches]
    if not names:
        return _error(row, "branch", _("expected a branch; there is none that you may use"))
    if not name and len(names) == 1:
        return standing.branches[0]
    found = standing.branch(name) if name else None
    return found or _one_of(row, "branch", names)


def material_of(
    row: SheetRow, branch: Branch, standing: ExistingRows
) -> Material | SheetError | None:
    """Return the material the row names; an empty one is the branch's usual for the kind of space.

    Where the branch has no usual one, the only fitting material is taken; of several the error
    names them all. None where the kind of space needs none and the row names none.
    """
    name, kind = row.text("material"), row.text("kind")
    if name:
        keys = [material.key for material in standing.materials]
        return standing.material(name) or _one_of(row, "material", keys)
    if kind in _WITHOUT_MATERIAL:
        return None
    usual = [u.material for u in branch.usual_materials.all() if u.space_kind == kind]
    fitting = usual or [m for m in standing.materials if _fits(m, kind)]
    if len(fitting) == 1:
        return fitting[0]
    if not fitting:
        return _error(row, "material", _("expected a material; none is entered that fits"))
    return _one_of(row, "material", [material.key for material in fitting])


def _fits(material: Material, kind: str) -> bool:
    return kind not in _BLOWN_ONLY or material.kind == Material.Kind.LOOSE_FILL


def _error(row: SheetRow, column: str, template: str, **values: str) -> SheetError:
    expected = Expected(template, values)
    return SheetError(row.number, column, quoted(row.text(column)), expected)


def _one_of(row: SheetRow, column: str, names: Sequence[str]) -> SheetError:
    """Return the error that names all there are, and the nearest of them."""
    listed = ", ".join(sorted(names))
    near = difflib.get_close_matches(row.text(column), names, n=1)
    if near:
        template = _("expected one of %(names)s (nearest: %(near)s)")
        return _error(row, column, template, names=listed, near=near[0])
    return _error(row, column, _("expected one of %(names)s"), names=listed)
