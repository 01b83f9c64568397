"""Keeps what a superintendent's digest told, and the few links that digests leave open."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db import transaction

from contractor.events import Actor
from contractor.models import Branch, OutboxMail
from contractor.outbox.seal import seal_make, seal_open
from jobs.checklists.services.link import checklist_link_make, checklist_link_revoke
from jobs.models import ChecklistLink, Digest, DigestLink, Superintendent

LINK_DAYS = 30
# Yesterday's mail still opens its list when today's is there; older ones do not.
DIGESTS_OPEN = 2


def digest_link_make(
    *, superintendent: Superintendent, branch: Branch, actor: Actor, now: datetime
) -> tuple[ChecklistLink, str]:
    """Make a link for a mail; return it with the sealed word that stands there for its secret."""
    seal = seal_make()
    link, _secret = checklist_link_make(
        superintendent=superintendent,
        branch=branch,
        actor=actor,
        now=now,
        days=LINK_DAYS,
        secret=seal_open(seal),
    )
    return link, seal


@transaction.atomic
def digest_keep(
    *,
    superintendent: Superintendent,
    day: date,
    mail: OutboxMail,
    owed: Iterable[int],
    links: Iterable[tuple[ChecklistLink, str]],
    actor: Actor,
    now: datetime,
) -> Digest:
    """Keep what was told on a day and by which links; close the links of older digests."""
    digest = Digest.objects.create(
        superintendent=superintendent, day=day, mail=mail, owed=sorted(owed), written_at=now
    )
    for link, seal in links:
        DigestLink.objects.create(digest=digest, link=link, seal=seal)
    kept = Digest.objects.filter(superintendent=superintendent).order_by("-day")[:DIGESTS_OPEN]
    alive = ChecklistLink.objects.alive(now)
    of_digests = alive.filter(of_digest__digest__superintendent=superintendent)
    for link in of_digests.exclude(of_digest__digest__in=[each.pk for each in kept]):
        checklist_link_revoke(link_id=link.pk, actor=actor, now=now)
    return digest
