"""What the services of `jobs` share: stale versions, who moves, changes as an event keeps them."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import models

from contractor.models import Material
from jobs.models import CatalogueItem, Condition, Job


class Stale(Exception):
    """Somebody was quicker: the version is not the current one.

    `present` is the row as it is now, of the noun that the service is about.
    """

    def __init__(self, present: Job | Condition | Material | CatalogueItem) -> None:
        super().__init__(f"{present} has changed; it is now at version {present.version}")
        self.present: Any = present


def job_locked(job_id: int) -> Job:
    """Return the job, held against every other writer until the transaction ends."""
    jobs = Job.objects.select_for_update(of=("self",)).select_related("site__branch")
    return jobs.get(pk=job_id)


def job_locked_at(job_id: int, version: int) -> Job:
    """Do the same; raise Stale unless it still has the version that the caller saw."""
    job = job_locked(job_id)
    if job.version != version:
        raise Stale(job)
    return job


def as_json(value: object) -> Any:
    """Return a value of a field as an event keeps it."""
    if isinstance(value, Decimal):
        return format(value.normalize(), "f")
    if isinstance(value, date):
        return value.isoformat()
    return str(value) if isinstance(value, models.Model) else value


def set_fields(thing: models.Model, values: Mapping[str, object]) -> dict[str, list[Any]]:
    """Set fields of a row that is not saved yet; return before and after of those that differ."""
    changes: dict[str, list[Any]] = {}
    for name, value in values.items():
        before = getattr(thing, name)
        if before != value:
            changes[name] = [as_json(before), as_json(value)]
            setattr(thing, name, value)
    return changes
