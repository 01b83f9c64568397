"""Services about checklist links: 256 random bits, of which only the hash is kept."""

from datetime import datetime, timedelta

from django.db import transaction

from contractor.events import Actor, event_record
from contractor.link_secret import secret_hash, secret_make
from contractor.models import Branch, Event
from jobs.models import ChecklistLink, Job, Superintendent

USUAL_DAYS = 60


def checklist_actor(link: ChecklistLink) -> Actor:
    """Return the superintendent that a link stands for."""
    return Actor(who=link.superintendent.name, source=Event.Source.LINK)


@transaction.atomic
def checklist_link_make(
    *,
    superintendent: Superintendent,
    branch: Branch,
    actor: Actor,
    now: datetime,
    days: int = USUAL_DAYS,
    secret: str | None = None,
) -> tuple[ChecklistLink, str]:
    """Make a link to the superintendent's houses with the branch.

    The secret is returned this once and can never be read again; who needs to show a link anew
    makes a new one. `secret`: one of 256 bits that a mail to be sent already stands for.
    """
    secret = secret or secret_make()
    link = ChecklistLink.objects.create(
        superintendent=superintendent,
        branch=branch,
        secret_hash=secret_hash(secret),
        created_at=now,
        expires_at=now + timedelta(days=days),
    )
    what = {"superintendent": superintendent.pk, "expires_at": link.expires_at.isoformat()}
    event_record(actor=actor, now=now, verb="created", thing=link, branch=branch, what=what)
    return link, secret


@transaction.atomic
def checklist_link_revoke(*, link_id: int, actor: Actor, now: datetime) -> ChecklistLink:
    """Close a link for good, with its codes and what they opened; twice changes nothing."""
    links = ChecklistLink.objects.select_for_update(of=("self",))
    link = links.select_related("superintendent", "branch").get(pk=link_id)
    entries = links.filter(entry__code__link=link).select_related("branch")
    for each in (link, *entries):
        if each.revoked_at is None:
            _revoke(each, actor=actor, now=now)
    return link


def links_close_idle(*, superintendent: Superintendent, actor: Actor, now: datetime) -> None:
    """Close the links of a superintendent at those branches where no house is open any more."""
    links = ChecklistLink.objects.alive(now).filter(superintendent=superintendent)
    for link in links.select_related("superintendent", "branch"):
        houses = Job.objects.open().filter(site__superintendent=superintendent)
        if not houses.filter(site__branch=link.branch).exists():
            _revoke(link, actor=actor, now=now)


def _revoke(link: ChecklistLink, *, actor: Actor, now: datetime) -> None:
    link.revoked_at = now
    link.save(update_fields=["revoked_at"])
    event_record(actor=actor, now=now, verb="revoked", thing=link, branch=link.branch)
