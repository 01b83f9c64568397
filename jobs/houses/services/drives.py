"""Services about measured drive minutes, which override the computed ones."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from contractor.events import Actor, event_record
from contractor.models import Branch, DriveTime
from jobs.models import Site
from jobs.sheets.drives import DriveRow, drive_sheet_read
from jobs.sheets.errors import Expected, SheetError, quoted
from jobs.sheets.errors import marked as _

YARD = "yard"


class DrivesRefused(Exception):
    """A sheet of drives with errors; nothing was written. `errors` lists them."""

    def __init__(self, errors: tuple[SheetError, ...]) -> None:
        super().__init__("\n".join(map(str, errors)))
        self.errors = errors


@dataclass(frozen=True)
class DrivesTaken:
    """How many drives of a sheet are new, changed and as they were."""

    new: int
    changed: int
    unchanged: int


@transaction.atomic
def drive_times_import(
    *, branch: Branch, content: bytes, actor: Actor, now: datetime
) -> DrivesTaken:
    """Take a sheet of measured minutes between places of a branch, all of it or none.

    A place is `yard` or the name of a site. What holds one way holds the other way too, unless
    the sheet says so itself. Raises DrivesRefused.
    """
    sheet = drive_sheet_read(content)
    places, faults = _places(branch, sheet.rows)
    if sheet.errors or faults:
        raise DrivesRefused((*sheet.errors, *faults))
    before = {(d.from_place, d.to_place): d for d in DriveTime.objects.filter(branch=branch)}
    counts = {"new": 0, "changed": 0, "unchanged": 0}
    for row in sheet.rows:
        counts[_take(branch, row, places, before)] += 1
    if counts["new"] or counts["changed"]:
        event_record(
            actor=actor, now=now, verb="drives measured", thing=branch, branch=branch, what=counts
        )
    return DrivesTaken(**counts)


def _take(
    branch: Branch,
    row: DriveRow,
    places: Mapping[str, str],
    before: Mapping[tuple[str, str], DriveTime],
) -> str:
    start, end = places[row.start], places[row.end]
    known = before.get((start, end))
    if known is None:
        DriveTime.objects.create(branch=branch, from_place=start, to_place=end, minutes=row.minutes)
        return "new"
    if known.minutes == row.minutes:
        return "unchanged"
    known.minutes = row.minutes
    known.save(update_fields=["minutes"])
    return "changed"


def _places(branch: Branch, rows: tuple[DriveRow, ...]) -> tuple[dict[str, str], list[SheetError]]:
    """Return the planner's name of each place a sheet names, and what is wrong with the names."""
    named: dict[str, list[str]] = {YARD: [YARD]}
    for site in Site.objects.filter(branch=branch):
        named.setdefault(site.name, []).append(site.place)
    faults: list[SheetError] = []
    for row in rows:
        for column, name in (("from", row.start), ("to", row.end)):
            count = len(named.get(name, ()))
            if count != 1:
                faults.append(SheetError(row.number, column, quoted(name), _wanted(branch, count)))
        if row.start == row.end:
            other = Expected(_("expected another place than in from"))
            faults.append(SheetError(row.number, "to", quoted(row.end), other))
    return {name: places[0] for name, places in named.items()}, faults


def _wanted(branch: Branch, count: int) -> Expected:
    if count:
        return Expected(_("expected one site; several builders have a site of this name"))
    return Expected(_("expected yard, or a site of %(branch)s"), {"branch": branch.name})
