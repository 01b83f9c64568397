"""Services about importing a sheet: all of it or nothing; and of its upload until confirmed."""

from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from contractor.access import Scope
from contractor.events import Actor
from contractor.models import Branch, User
from jobs.desk.services import job_locked
from jobs.houses.services.customer import builder_ensure, site_ensure, superintendent_ensure
from jobs.houses.services.job import job_at_site, job_change
from jobs.imports.plan import ImportPlan, JobPlan, SitePlan
from jobs.imports.queries.preview import import_preview
from jobs.models import SheetUpload, Site, Space
from jobs.spaces.services import space_keep, spaces_changed

UPLOAD_MINUTES = 60


class ImportRefused(Exception):
    """A sheet with errors; nothing was written. `plan.errors` lists them."""

    def __init__(self, plan: ImportPlan) -> None:
        super().__init__("\n".join(str(error) for error in plan.errors))
        self.plan = plan


@transaction.atomic
def import_apply(*, content: bytes, scope: Scope, actor: Actor, now: datetime) -> ImportPlan:
    """Import a sheet within the scope, all of it; return what was done.

    The sheet is looked through anew, while the branches are held against other imports. Raises
    ImportRefused where it has any error; then nothing is written. A sheet that says what stands
    already changes nothing and leaves no event.
    """
    _branches_hold(scope)
    plan = import_preview(content=content, scope=scope)
    if plan.errors:
        raise ImportRefused(plan)
    sites = {id(site): _site_apply(site, actor=actor, now=now) for site in plan.sites}
    for job in plan.jobs:
        _job_apply(job, sites[id(job.site)], actor=actor, now=now)
    return plan


def _branches_hold(scope: Scope) -> None:
    """Let one import at a time run for a branch; jobs may still be planned meanwhile."""
    branches = Branch.objects.order_by("pk").select_for_update(no_key=True)
    if not scope.all_branches:
        branches = branches.filter(pk__in=scope.branch_ids)
    len(branches)


def _site_apply(plan: SitePlan, *, actor: Actor, now: datetime) -> Site:
    if plan.site is not None and plan.is_as_it_was:
        return plan.site
    builder = builder_ensure(name=plan.builder, actor=actor, now=now)
    values = dict(plan.values)
    if plan.superintendent:
        values["superintendent"] = superintendent_ensure(
            builder=builder,
            name=plan.superintendent,
            contact=plan.contact,
            actor=actor,
            now=now,
        )
    return site_ensure(
        branch=plan.branch, builder=builder, name=plan.name, values=values, actor=actor, now=now
    )


def _job_apply(plan: JobPlan, site: Site, *, actor: Actor, now: datetime) -> None:
    to_write = plan.spaces_to_write
    if plan.job is None:
        made = job_at_site(site=site, unit=plan.unit, values=plan.values, actor=actor, now=now)
        job = job_locked(made.pk)
    elif plan.changes or to_write:
        job = job_locked(plan.job.pk)
    else:
        return
    standing = {space.name: space for space in job.spaces.select_related("material")}
    for row in to_write:
        space = standing.get(row.name) or Space(name=row.name)
        space.job = job
        space_keep(space, row.values, check=_check_cells, actor=actor, now=now)
    # Only now, since a new year of building is estimated at once, with all spaces.
    job_change(job, plan.values, actor=actor, now=now)
    if to_write:
        spaces_changed(job, actor=actor, now=now)


def _check_cells(space: Space) -> None:
    """Check field by field; each rule asked would take a statement, and the sheet was checked."""
    space.clean_fields(exclude={"job", "material"})


@transaction.atomic
def upload_keep(*, user: User, filename: str, content: bytes, now: datetime) -> SheetUpload:
    """Keep a sheet for its uploader until it is confirmed; older ones that expired are dropped."""
    SheetUpload.objects.expired(now).delete()
    return SheetUpload.objects.create(
        user=user,
        filename=filename[:120],
        content=content,
        expires_at=now + timedelta(minutes=UPLOAD_MINUTES),
    )


@transaction.atomic
def upload_import(
    *, upload_id: UUID, user: User, scope: Scope, actor: Actor, now: datetime
) -> ImportPlan | None:
    """Import a kept sheet and drop it; None where it is not there, not this person's or expired.

    Raises ImportRefused; the sheet is then kept, and nothing else has changed.
    """
    uploads = SheetUpload.objects.of(user, now).select_for_update()
    upload = uploads.filter(pk=upload_id).first()
    if upload is None:
        return None
    plan = import_apply(content=bytes(upload.content), scope=scope, actor=actor, now=now)
    upload.delete()
    return plan
