"""Services about builders, superintendents and sites: each is found by name, or made."""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from contractor.events import Actor, event_record
from contractor.models import Branch
from jobs.checklists.services.link import links_close_idle
from jobs.desk.services import set_fields
from jobs.models import Builder, Site, Superintendent


@transaction.atomic
def builder_ensure(*, name: str, actor: Actor, now: datetime) -> Builder:
    """Return the builder of that name, made where there is none."""
    found = Builder.objects.filter(name=name).first()
    if found is not None:
        return found
    builder = Builder(name=name)
    builder.full_clean()
    builder.save()
    event_record(actor=actor, now=now, verb="created", thing=builder, what={"name": name})
    return builder


@transaction.atomic
def superintendent_ensure(
    *, builder: Builder, name: str, contact: Mapping[str, str], actor: Actor, now: datetime
) -> Superintendent:
    """Return the builder's superintendent of that name, made or changed to fit `contact`.

    contact: `email` and `phone`; what is left out or empty stays as it is.
    """
    given = {field: value for field, value in contact.items() if value}
    found = Superintendent.objects.filter(builder=builder, name=name).first()
    person = found or Superintendent(builder=builder, name=name)
    changes = set_fields(person, given)
    if found is None or changes:
        person.full_clean()
        person.save()
        verb = "changed" if found else "created"
        event_record(actor=actor, now=now, verb=verb, thing=person, what={"name": name, **changes})
    return person


@transaction.atomic
def site_ensure(
    *,
    branch: Branch,
    builder: Builder,
    name: str,
    values: Mapping[str, object],
    actor: Actor,
    now: datetime,
) -> Site:
    """Return the builder's site of that name at the branch, made or changed to fit `values`.

    values: `superintendent`, `address`, `latitude`, `longitude`, `gate_note`; what is left out,
    None or empty stays as it is.
    """
    given = {field: value for field, value in values.items() if value not in (None, "")}
    sites = Site.objects.select_related("superintendent")
    found = sites.filter(branch=branch, builder=builder, name=name).first()
    former = found.superintendent if found else None
    site = found or Site(branch=branch, builder=builder, name=name)
    changes = set_fields(site, given)
    if found is None or changes:
        site.full_clean()
        site.save()
        event_record(
            actor=actor,
            now=now,
            verb="changed" if found else "created",
            thing=site,
            branch=branch,
            what={"name": name, **changes},
        )
    if former is not None and former != site.superintendent:
        links_close_idle(superintendent=former, actor=actor, now=now)
    return site


@transaction.atomic
def site_place(
    *, site_id: int, latitude: Decimal, longitude: Decimal, actor: Actor, now: datetime
) -> Site:
    """Say where a site lies. Raises ValidationError for degrees that there are not."""
    site = Site.objects.select_for_update(of=("self",)).select_related("branch").get(pk=site_id)
    changes = set_fields(site, {"latitude": latitude, "longitude": longitude})
    if changes:
        site.full_clean()
        site.save(update_fields=["latitude", "longitude"])
        event_record(
            actor=actor, now=now, verb="placed", thing=site, branch=site.branch, what=changes
        )
    return site


@transaction.atomic
def site_gate_say(*, site_id: int, gate_note: str, actor: Actor, now: datetime) -> Site:
    """Say how a crew gets in at a site; empty takes it away. Raises ValidationError if too long."""
    site = Site.objects.select_for_update(of=("self",)).select_related("branch").get(pk=site_id)
    changes = set_fields(site, {"gate_note": gate_note.strip()})
    if changes:
        site.full_clean()
        site.save(update_fields=["gate_note"])
        event_record(
            actor=actor, now=now, verb="changed", thing=site, branch=site.branch, what=changes
        )
    return site
