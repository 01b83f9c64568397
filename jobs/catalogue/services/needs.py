"""Writes the conditions that a job needs by its spaces; called in the caller's transaction."""

from collections.abc import Iterable, Sequence
from typing import Any

from jobs.catalogue.queries import entries_of_job
from jobs.catalogue.traits import facts_of, slope_covers
from jobs.conditions.catalogue import CatalogueEntry
from jobs.conditions.entry_json import entry_as_json
from jobs.conditions.needed import NeededCondition, conditions_needed
from jobs.conditions.taken_over import like
from jobs.desk.services import set_fields
from jobs.models import Condition, Job, Space

Changes = dict[str, Any]
HOLDS_NOTHING: Changes = {"holds": [], "needed": False}


def conditions_replace(job: Job, spaces: Sequence[Space]) -> Changes:
    """Make the job's conditions those that its spaces need; return the codes that changed.

    States are kept, and so is each condition's own entry, whatever the catalogue says by now. One
    that is not needed any more is removed if nobody ever moved it; else it stays for its history
    and holds nothing. What the estimator added stays, what was struck stays struck.
    """
    standing = {condition.code: condition for condition in job.conditions.all()}
    catalogue = {entry.code: entry for entry in entries_of_job(standing.values())}
    steps = [step.kind for step in job.steps.all() if step.needed]
    added: list[Condition] = []
    changed: list[Condition] = []
    for needed in _needed(job, spaces, steps, catalogue.values()):
        row, entry = standing.get(needed.code), catalogue[needed.code]
        if row is None:
            kept = entry_as_json(entry)
            fields = _fields(needed, entry)
            added.append(Condition(job=job, code=needed.code, entry=kept, **fields))
        elif row.by_hand != Condition.ByHand.STRUCK:
            del standing[needed.code]
            changed += [row] if set_fields(row, _fields(needed, entry)) else []
    own = [row for row in standing.values() if row.by_hand]
    moved = [row for row in standing.values() if not row.by_hand and row.moved_at is not None]
    removed = [row for row in standing.values() if not row.by_hand and row.moved_at is None]
    changed += [row for row in moved if set_fields(row, HOLDS_NOTHING)]
    changed += [row for row in own if set_fields(row, by_hand_fields(row, steps))]
    Condition.objects.bulk_create(added)
    Condition.objects.bulk_update(changed, ["name", "owed_by", "gate", "holds", "needed"])
    Condition.objects.filter(pk__in=[row.pk for row in removed]).delete()
    found = {"added": added, "changed": changed, "removed": removed}
    return {name: [row.code for row in rows] for name, rows in found.items() if rows}


def by_hand_fields(row: Condition, steps: Sequence[str]) -> Changes:
    """Return what a condition holds that somebody added or struck, in a job with these steps."""
    if row.by_hand == Condition.ByHand.STRUCK:
        return HOLDS_NOTHING
    holds = [kind for kind in steps if like(kind) in row.entry["holds"]]
    return {"holds": holds, "needed": bool(holds)}


def _needed(
    job: Job, spaces: Sequence[Space], steps: Sequence[str], catalogue: Iterable[CatalogueEntry]
) -> list[NeededCondition]:
    return conditions_needed(
        {space.kind for space in spaces},
        steps,
        job.year_built,
        covers=slope_covers(spaces),
        facts=facts_of(spaces),
        catalogue=catalogue,
    )


def _fields(needed: NeededCondition, entry: CatalogueEntry) -> Changes:
    return {
        "name": entry.name,
        "owed_by": needed.owed_by,
        "gate": needed.gate,
        "holds": list(needed.holds),
        "needed": True,
    }
