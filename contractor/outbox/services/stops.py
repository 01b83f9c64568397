"""Who wants no mail: the signed address of the stop page, stopping and starting again."""

from datetime import datetime

from django.conf import settings
from django.core.signing import BadSignature, Signer
from django.db import transaction
from django.urls import reverse

from contractor.events import Actor, event_record
from contractor.models import MailAddress

SALT = "contractor.outbox.stop"


def stop_token(address: MailAddress) -> str:
    """Return the signed word that stands for a mailbox in a stop link; it never runs out."""
    return Signer(salt=SALT).sign(str(address.pk))


def stop_url(address: MailAddress) -> str:
    """Return the whole address of a mailbox's stop page."""
    return f"{settings.SITE_URL}{reverse('mail-stop', args=[stop_token(address)])}"


def token_address(token: str) -> MailAddress | None:
    """Return the mailbox that a stop link stands for; None where we did not sign it."""
    try:
        pk = Signer(salt=SALT).unsign(token)
    except BadSignature:
        return None
    return MailAddress.objects.filter(pk=int(pk)).first()


@transaction.atomic
def mail_stop(*, address_id: int, actor: Actor, now: datetime) -> MailAddress:
    """Send a mailbox nothing more, what waits included; stopping twice changes nothing.

    What waits is let die by the next round of the sender, which says why.
    """
    address = MailAddress.objects.select_for_update().get(pk=address_id)
    if address.stopped_at is None:
        address.stopped_at = now
        address.save(update_fields=["stopped_at"])
        event_record(actor=actor, now=now, verb="stopped", thing=address)
    return address


@transaction.atomic
def mail_resume(*, address_id: int, actor: Actor, now: datetime) -> MailAddress:
    """Let a mailbox have mail again, by its owner's word; doing it twice changes nothing."""
    address = MailAddress.objects.select_for_update().get(pk=address_id)
    if address.stopped_at is not None:
        address.stopped_at = None
        address.save(update_fields=["stopped_at"])
        event_record(actor=actor, now=now, verb="resumed", thing=address)
    return address
