"""What stands already of the things that a sheet names: read at once, in few statements."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Prefetch

from contractor.access import Scope
from contractor.models import Branch, Material
from jobs.estimates.takeoff import MATERIAL_ROWS
from jobs.models import Job, Site, Space, Superintendent
from jobs.sheets import SheetRow

SiteKey = tuple[int, str, str]  # branch, builder, site


@dataclass(frozen=True)
class ExistingRows:
    """Rows by the names that sheets use."""

    branches: tuple[Branch, ...]
    materials: tuple[Material, ...]
    sites: dict[SiteKey, Site]
    superintendents: dict[tuple[str, str], Superintendent]
    shared_elsewhere: frozenset[int]

    def branch(self, name: str) -> Branch | None:
        """Return the branch of that name, written large or small."""
        return next((b for b in self.branches if b.name.casefold() == name.casefold()), None)

    def site(self, branch: Branch, builder: str, name: str) -> Site | None:
        """Return the builder's site of that name at the branch."""
        return self.sites.get((branch.pk, builder, name))

    def material(self, name: str) -> Material | None:
        """Return the material of that key or name, written large or small."""
        wanted = name.casefold()
        found = (m for m in self.materials if wanted in (m.key.casefold(), m.name.casefold()))
        return next(found, None)


def job_of(site: Site | None, unit: str) -> Job | None:
    """Return the site's job of that unit, if both are there."""
    jobs = site.jobs.all() if site else ()
    return next((job for job in jobs if job.unit == unit), None)


def space_of(job: Job | None, name: str) -> Space | None:
    """Return the job's space of that name, if both are there."""
    spaces = job.spaces.all() if job else ()
    return next((space for space in spaces if space.name == name), None)


def existing_rows(scope: Scope, rows: Sequence[SheetRow]) -> ExistingRows:
    """Read everything that the rows may touch, within the scope."""
    branches = _branches(scope)
    people = _superintendents(rows)
    return ExistingRows(
        branches=branches,
        materials=tuple(Material.objects.prefetch_related("chart", "cavity_chart", "batts")),
        sites=_sites(branches, rows),
        superintendents={(person.builder.name, person.name): person for person in people},
        shared_elsewhere=_shared_elsewhere(branches, people),
    )


def _branches(scope: Scope) -> tuple[Branch, ...]:
    usual = [f"usual_materials__{rows}" for rows in MATERIAL_ROWS]
    branches = Branch.objects.prefetch_related("machines", *usual)
    if not scope.all_branches:
        branches = branches.filter(pk__in=scope.branch_ids)
    return tuple(branches)


def _sites(branches: Iterable[Branch], rows: Sequence[SheetRow]) -> dict[SiteKey, Site]:
    spaces = Space.objects.select_related("material").prefetch_related(*MATERIAL_ROWS)
    sites = (
        Site.objects.filter(
            branch__in=branches,
            builder__name__in={row.text("builder") for row in rows},
            name__in={row.text("site") for row in rows},
        )
        .select_related("builder", "superintendent")
        .prefetch_related("jobs", Prefetch("jobs__spaces", spaces))
    )
    return {(site.branch_id, site.builder.name, site.name): site for site in sites}


def _superintendents(rows: Sequence[SheetRow]) -> list[Superintendent]:
    return list(
        Superintendent.objects.filter(
            builder__name__in={row.text("builder") for row in rows},
            name__in={row.text("superintendent") for row in rows},
        ).select_related("builder")
    )


def _shared_elsewhere(
    branches: Iterable[Branch], people: Iterable[Superintendent]
) -> frozenset[int]:
    """Return the superintendents who also run sites of branches that the scope does not see."""
    sites = Site.objects.filter(superintendent__in=people).exclude(branch__in=branches)
    found = sites.values_list("superintendent_id", flat=True)
    return frozenset(pk for pk in found if pk is not None)
