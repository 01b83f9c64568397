"""Services about jobs: made, changed, finished."""

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from contractor.events import Actor, event_record
from contractor.models import Branch
from jobs.checklists.services.link import links_close_idle
from jobs.desk.services import job_locked_at, set_fields
from jobs.estimates.services.estimate import estimate_locked
from jobs.houses.services.customer import builder_ensure, site_ensure, superintendent_ensure
from jobs.models import Job, Site

OWNER = ("owner_name", "owner_email", "owner_phone", "owner_language")
CHANGEABLE = frozenset({"unit", "year_built", "ready_date", "promised_date", "state", *OWNER})


@transaction.atomic
def job_create(
    *,
    branch: Branch,
    builder: str,
    site: str,
    unit: str = "",
    year_built: int | None = None,
    ready_date: date | None = None,
    promised_date: date | None = None,
    superintendent: str = "",
    superintendent_email: str = "",
    superintendent_phone: str = "",
    address: str = "",
    latitude: Decimal | None = None,
    longitude: Decimal | None = None,
    gate_note: str = "",
    owner_name: str = "",
    owner_email: str = "",
    owner_phone: str = "",
    owner_language: str = "en",
    actor: Actor,
    now: datetime,
) -> Job:
    """Make a job; its builder, superintendent and site are found by name or made.

    Raises ValidationError, by field, for what cannot be right, a unit that is there already too.
    """
    Branch.objects.select_for_update(no_key=True).get(pk=branch.pk)  # as imports do
    company = builder_ensure(name=builder, actor=actor, now=now)
    place: dict[str, object] = {
        "address": address,
        "latitude": latitude,
        "longitude": longitude,
        "gate_note": gate_note,
    }
    if superintendent:
        place["superintendent"] = superintendent_ensure(
            builder=company,
            name=superintendent,
            contact={"email": superintendent_email, "phone": superintendent_phone},
            actor=actor,
            now=now,
        )
    at = site_ensure(branch=branch, builder=company, name=site, values=place, actor=actor, now=now)
    values = {
        "year_built": year_built,
        "ready_date": ready_date,
        "promised_date": promised_date,
        "owner_name": owner_name,
        "owner_email": owner_email,
        "owner_phone": owner_phone,
        "owner_language": owner_language,
    }
    return job_at_site(site=at, unit=unit, values=values, actor=actor, now=now)


@transaction.atomic
def job_at_site(
    *, site: Site, unit: str, values: Mapping[str, object], actor: Actor, now: datetime
) -> Job:
    """Make a job at a site that is there; `values` are fields of the job."""
    job = Job(site=site, unit=unit, created_at=now)
    what = {"unit": unit, **set_fields(job, values)}
    job.full_clean()
    job.save()
    event_record(actor=actor, now=now, verb="created", thing=job, branch=site.branch, what=what)
    return job


@transaction.atomic
def job_update(
    *, job_id: int, version: int, changes: Mapping[str, object], actor: Actor, now: datetime
) -> Job:
    """Change fields of a job: unit, year_built, ready_date, promised_date, state, its owner.

    Raises Stale where `version` is not the current one, ValidationError for bad values. What
    does not differ changes nothing and leaves no event.
    """
    unknown = set(changes) - CHANGEABLE
    if unknown:
        raise TypeError(f"job_update: {', '.join(sorted(unknown))} cannot be changed")
    return job_change(job_locked_at(job_id, version), changes, actor=actor, now=now)


def job_change(job: Job, changes: Mapping[str, object], *, actor: Actor, now: datetime) -> Job:
    """Do the same for a job that the running transaction holds already."""
    what = set_fields(job, changes)
    if not what:
        return job
    job.version += 1
    job.full_clean()
    job.save()
    event_record(actor=actor, now=now, verb="changed", thing=job, branch=job.site.branch, what=what)
    if "year_built" in what:
        estimate_locked(job, actor=actor, now=now)
    if "state" in what and job.site.superintendent is not None:
        links_close_idle(superintendent=job.site.superintendent, actor=actor, now=now)
    return job
