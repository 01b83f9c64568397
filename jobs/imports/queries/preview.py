"""What a sheet would make and change, found without writing; or every error that it has."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from contractor.access import Scope
from contractor.models import Branch, Material
from jobs.imports.estimates import refusals
from jobs.imports.plan import ImportPlan, JobPlan, SitePlan, SpacePlan, changes_of
from jobs.imports.queries.existing import ExistingRows, existing_rows, job_of, space_of
from jobs.imports.queries.names import branch_of, material_of
from jobs.models import Job, Space
from jobs.sheets import Expected, Sheet, SheetError, SheetRow, sheet_read
from jobs.sheets.agreement import Key, disagreements, job_key, site_key
from jobs.sheets.columns import MEASURES
from jobs.sheets.errors import Word, quoted
from jobs.sheets.errors import marked as _

_CONTACT = {"superintendent_email": "email", "superintendent_phone": "phone"}
_PLACE = ("address", "latitude", "longitude", "gate_note")
_JOB = (
    "year_built",
    "ready_date",
    "promised_date",
    "owner_name",
    "owner_email",
    "owner_phone",
    "owner_language",
)
_WORDS = frozenset({"cover", "note"})


@dataclass
class _Rows:
    """Rows whose branch and material are found, and the errors of the others."""

    good: list[SheetRow] = field(default_factory=list)
    branches: dict[int, Branch] = field(default_factory=dict)
    materials: dict[int, Material | None] = field(default_factory=dict)
    errors: list[SheetError] = field(default_factory=list)


def import_preview(*, content: bytes, scope: Scope) -> ImportPlan:
    """Return what importing the sheet would do within the scope; constant in statements.

    Every error of the sheet is listed; with any of them the import does nothing.
    """
    sheet = sheet_read(content)
    there = existing_rows(scope, sheet.rows)
    rows = _with_names(sheet, there)
    errors = [*sheet.errors, *rows.errors, *disagreements(rows.good)]
    sites = _sites(rows, there)
    jobs = _jobs(sheet, rows, sites)
    errors += _not_ours(rows.good, there)
    for job in jobs:
        errors += _not_open(job, rows.good)
        errors += refusals(job)
    errors.sort(key=lambda error: (error.row, error.column))
    return ImportPlan(tuple(jobs), tuple(errors), tuple(sites.values()))


def _with_names(sheet: Sheet, there: ExistingRows) -> _Rows:
    rows = _Rows()
    for row in sheet.rows:
        branch = branch_of(row, there)
        if isinstance(branch, SheetError):
            rows.errors.append(branch)
            continue
        material = material_of(row, branch, there)
        if isinstance(material, SheetError):
            rows.errors.append(material)
            continue
        rows.branches[row.number] = branch
        rows.materials[row.number] = material
        rows.good.append(replace(row, values={**row.values, "branch": branch.name}))
    return rows


def _grouped(rows: Sequence[SheetRow], key: Callable[[SheetRow], Key]) -> dict[Key, list[SheetRow]]:
    found: dict[Key, list[SheetRow]] = {}
    for row in rows:
        found.setdefault(key(row), []).append(row)
    return found


def _together(rows: Sequence[SheetRow], columns: Sequence[str]) -> dict[str, object]:
    """Take of each column the value of the first row with one; columns without any are left out."""
    found: dict[str, object] = {}
    for column in columns:
        values = [row.values[column] for row in rows if column in row.values]
        if values:
            found[column] = values[0]
    return found


def _sites(rows: _Rows, there: ExistingRows) -> dict[Key, SitePlan]:
    contacts = _contacts(rows.good)
    return {
        key: _site(group, rows.branches[group[0].number], contacts, there)
        for key, group in _grouped(rows.good, site_key).items()
    }


def _contacts(rows: Sequence[SheetRow]) -> dict[tuple[str, str], dict[str, str]]:
    """Gather by builder and superintendent what any row says of mail and phone."""
    found: dict[tuple[str, str], dict[str, str]] = {}
    for row in rows:
        contact = found.setdefault((row.text("builder"), row.text("superintendent")), {})
        for column, name in _CONTACT.items():
            if column in row.values:
                contact.setdefault(name, row.text(column))
    return found


def _site(
    group: Sequence[SheetRow],
    branch: Branch,
    contacts: Mapping[tuple[str, str], Mapping[str, str]],
    there: ExistingRows,
) -> SitePlan:
    builder, name = group[0].text("builder"), group[0].text("site")
    site = there.site(branch, builder, name)
    person_name = next((r.text("superintendent") for r in group if r.text("superintendent")), "")
    person = there.superintendents.get((builder, person_name))
    contact = contacts.get((builder, person_name), {}) if person_name else {}
    values = _together(group, _PLACE)
    changes = changes_of(site, values)
    if person_name and site is not None and (person is None or site.superintendent != person):
        changes += changes_of(site, {"superintendent": person_name})
    return SitePlan(
        branch=branch,
        builder=builder,
        name=name,
        site=site,
        superintendent=person_name,
        contact=contact,
        values=values,
        changes=changes + changes_of(person, contact),
    )


def _jobs(sheet: Sheet, rows: _Rows, sites: Mapping[Key, SitePlan]) -> list[JobPlan]:
    told: set[Key] = set()
    jobs = []
    for group in _grouped(rows.good, job_key).values():
        key = site_key(group[0])
        site = sites[key]
        jobs.append(_job(sheet, rows, group, site, is_first=key not in told))
        told.add(key)
    return jobs


def _job(
    sheet: Sheet, rows: _Rows, group: Sequence[SheetRow], site: SitePlan, *, is_first: bool
) -> JobPlan:
    unit = group[0].text("unit")
    job = job_of(site.site, unit)
    values = _together(group, _JOB)
    if "year_built" in sheet.columns:
        values.setdefault("year_built", None)  # an empty year is a statement: a new house
    return JobPlan(
        site=site,
        unit=unit,
        job=job,
        values=values,
        changes=changes_of(job, values),
        told_of_site=site.changes if is_first else (),
        spaces=tuple(_space(sheet, rows, row, job) for row in group),
    )


def _space(sheet: Sheet, rows: _Rows, row: SheetRow, job: Job | None) -> SpacePlan:
    """Take a row as the whole takeoff of its space: an empty cell empties the measure."""
    space = space_of(job, row.text("space"))
    values: dict[str, object] = {
        name: row.values.get(name, "" if name in _WORDS else None)
        for name in MEASURES
        if name in sheet.columns
    }
    values["kind"] = Space.Kind(row.text("kind"))
    if "material" in sheet.columns or space is None or space.kind != values["kind"]:
        values["material"] = rows.materials[row.number]
    return SpacePlan(row.number, row.text("space"), space, values, changes_of(space, values))


def _not_open(job: JobPlan, rows: Sequence[SheetRow]) -> Iterator[SheetError]:
    """Yield a change of a job that is finished or called off, which stands as it is."""
    if job.job is None or job.job.state == Job.State.OPEN:
        return
    if job.changes or job.spaces_to_write:
        wanted = Expected(
            _("expected no change: this job is %(state)s"),
            {"state": Word(job.job.get_state_display())},
        )
        yield SheetError(job.spaces[0].row, "unit", quoted(job.unit), wanted)


def _not_ours(rows: Sequence[SheetRow], there: ExistingRows) -> Iterator[SheetError]:
    """Yield changes of how to reach who works with other branches too: not from one of them."""
    for row in rows:
        person = there.superintendents.get((row.text("builder"), row.text("superintendent")))
        if person is None or person.pk not in there.shared_elsewhere:
            continue
        for column, name in _CONTACT.items():
            if column in row.values and row.text(column) != getattr(person, name):
                wanted = Expected(
                    _("expected it empty: another branch works with this person, ask the owner")
                )
                yield SheetError(row.number, column, quoted(row.text(column)), wanted)
