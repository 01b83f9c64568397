"""Writes the daily digests of superintendents into the outbox, once a person and day."""

import logging
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import translation

from contractor.events import Actor
from contractor.models import Event, OutboxMail
from contractor.outbox.services.write import address_ensure, mail_write
from jobs.checklists.services.digest import digest_keep, digest_link_make
from jobs.models import Digest, Superintendent
from scheduling.arrivals.services import windows_keep
from scheduling.checklists.digest_words import digest_letter
from scheduling.checklists.queries.digest import DigestContent, digest_candidates, digest_content
from scheduling.models import WindowTold

DIGESTER = Actor(who="digest", source=Event.Source.COMMAND)
log = logging.getLogger(__name__)


def digests_write(*, now: datetime) -> int:
    """Write the digests whose time it is; return how many. One that fails keeps back no other."""
    if not settings.MAIL_ENABLED:
        return 0
    written = 0
    for person in digest_candidates():
        try:
            written += digest_write(superintendent_id=person.pk, now=now) is not None
        except IntegrityError:
            log.info("somebody else wrote the digest of superintendent %s", person.pk)
        except Exception:
            log.exception("no digest for superintendent %s", person.pk)
    return written


@transaction.atomic
def digest_write(*, superintendent_id: int, now: datetime) -> Digest | None:
    """Write one person's digest: mail, links and what was told, all or nothing.

    None where it is not time, it is written already, there is nothing to say, or mail was stopped.
    IntegrityError where another process writes the same one at this moment.
    """
    people = Superintendent.objects.select_for_update(of=("self",))
    person = people.get(pk=superintendent_id)
    told = digest_content(person, now)
    if told is None or person.digests.filter(day=told.day).exists():
        return None
    address = address_ensure(person.email)
    if address is None or address.stopped_at is not None:
        return None
    links = {
        each.branch.pk: digest_link_make(
            superintendent=person, branch=each.branch, actor=DIGESTER, now=now
        )
        for each in told.branches
    }
    seals = [seal for _link, seal in links.values()]
    addresses = {pk: _address(seal) for pk, (_link, seal) in links.items()}
    with translation.override(person.language):
        letter = digest_letter(person, told, addresses, seals)
    mail = mail_write(
        key=f"digest:{person.pk}:{told.day}",
        kind=OutboxMail.Kind.DIGEST,
        branch=told.home,
        spans_branches=any(each.branch != told.home for each in told.branches),
        address=address,
        to_name=person.name,
        language=person.language,
        letter=letter,
        expires_at=_midnight(told),
        actor=DIGESTER,
        now=now,
    )
    if mail is None:
        return None
    windows_keep(
        visits=[visit for each in told.branches for visit in each.visits],
        mail=mail,
        to=WindowTold.To.SUPERINTENDENT,
        actor=DIGESTER,
        now=now,
    )
    return digest_keep(
        superintendent=person,
        day=told.day,
        mail=mail,
        owed=told.owed,
        links=links.values(),
        actor=DIGESTER,
        now=now,
    )


def _address(seal: str) -> str:
    return f"{settings.SITE_URL}{reverse('checklist', args=[seal])}"


def _midnight(told: DigestContent) -> datetime:
    """Return the end of the day there: what is said of tomorrow must not arrive tomorrow."""
    zone = ZoneInfo(told.home.time_zone)
    return datetime.combine(told.day + timedelta(days=1), time(), tzinfo=zone)
