"""Writes the conditions that a job needs by its spaces; called in the caller's transaction."""

from collections.abc import Sequence
from typing import Any

from jobs.conditions.needed import NeededCondition, conditions_needed
from jobs.conditions.seed import ENTRIES
from jobs.models import Condition, Job, Space
from jobs.services.shared import set_fields
from jobs.services.traits import facts_of, slope_covers

Changes = dict[str, Any]


def conditions_replace(job: Job, spaces: Sequence[Space]) -> Changes:
    """Make the job's conditions those that its spaces need; return the codes that changed.

    States are kept. One that is not needed any more is removed if nobody ever moved it; else it
    stays for its history and holds nothing.
    """
    standing = {condition.code: condition for condition in job.conditions.all()}
    added: list[Condition] = []
    changed: list[Condition] = []
    for needed in _needed(job, spaces):
        row = standing.pop(needed.code, None)
        if row is None:
            added.append(Condition(job=job, code=needed.code, **_fields(needed)))
        elif set_fields(row, _fields(needed)):
            changed.append(row)
    removed = [row for row in standing.values() if row.moved_at is None]
    moved = [row for row in standing.values() if row.moved_at is not None]
    changed += [row for row in moved if set_fields(row, {"holds": [], "needed": False})]
    Condition.objects.bulk_create(added)
    Condition.objects.bulk_update(changed, ["name", "owed_by", "gate", "holds", "needed"])
    Condition.objects.filter(pk__in=[row.pk for row in removed]).delete()
    found = {"added": added, "changed": changed, "removed": removed}
    return {name: [row.code for row in rows] for name, rows in found.items() if rows}


def _needed(job: Job, spaces: Sequence[Space]) -> list[NeededCondition]:
    return conditions_needed(
        {space.kind for space in spaces},
        [step.kind for step in job.steps.all() if step.needed],
        job.year_built,
        covers=slope_covers(spaces),
        facts=facts_of(spaces),
    )


def _fields(needed: NeededCondition) -> Changes:
    return {
        "name": ENTRIES[needed.code].name,
        "owed_by": needed.owed_by,
        "gate": needed.gate,
        "holds": list(needed.holds),
        "needed": True,
    }
