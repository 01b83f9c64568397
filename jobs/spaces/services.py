"""Services about the spaces of a job; each change is estimated anew at once."""

from collections.abc import Callable, Mapping
from datetime import datetime

from django.db import transaction

from contractor.events import Actor, event_record
from jobs.desk.services import job_locked_at, set_fields
from jobs.estimates.services.estimate import estimate_locked
from jobs.models import Job, Space


@transaction.atomic
def space_save(
    *,
    job_id: int,
    version: int,
    space_id: int | None,
    values: Mapping[str, object],
    actor: Actor,
    now: datetime,
) -> Space:
    """Add a space to a job (space_id None) or change one, and estimate the job anew.

    version: of the job, as the caller saw it. values: fields of Space; a material as its row.
    Raises Stale, ValidationError, Space.DoesNotExist, and TakeoffError where the estimator
    refuses the measures; then nothing is changed.
    """
    job = job_locked_at(job_id, version)
    space = Space(job=job) if space_id is None else job.spaces.get(pk=space_id)
    if space_keep(space, values, check=Space.full_clean, actor=actor, now=now):
        spaces_changed(job, actor=actor, now=now)
        space.refresh_from_db()
    return space


def space_keep(
    space: Space,
    values: Mapping[str, object],
    *,
    check: Callable[[Space], None],
    actor: Actor,
    now: datetime,
) -> bool:
    """Set and save a space of a job that the transaction holds; False where nothing differs.

    check: raises ValidationError for what cannot be right; the database refuses it in any case.
    """
    is_new = space.pk is None
    changes = set_fields(space, values)
    if not is_new and not changes:
        return False
    check(space)
    space.save()
    event_record(
        actor=actor,
        now=now,
        verb="created" if is_new else "changed",
        thing=space,
        branch=space.job.site.branch,
        what={"job": space.job_id, "name": space.name, **changes},
    )
    return True


@transaction.atomic
def space_remove(*, job_id: int, version: int, space_id: int, actor: Actor, now: datetime) -> Job:
    """Take a space off a job and estimate the job anew. Raises Stale, Space.DoesNotExist."""
    job = job_locked_at(job_id, version)
    space = job.spaces.get(pk=space_id)
    event_record(
        actor=actor,
        now=now,
        verb="removed",
        thing=space,
        branch=job.site.branch,
        what={"job": job.pk, "name": space.name},
    )
    space.delete()
    return spaces_changed(job, actor=actor, now=now)


def spaces_changed(job: Job, *, actor: Actor, now: datetime) -> Job:
    """Raise the version of a job whose spaces changed, and estimate it anew."""
    job.version += 1
    job.save(update_fields=["version"])
    return estimate_locked(job, actor=actor, now=now)
