"""Sends what waits in the outbox: claim, hand over, note the end; each one guarded UPDATE.

At least once: two senders never hold one mail at the same time, yet a sender that dies between the
mail server's "taken" and our note of it leaves the mail to be sent again when its lease runs out.
Both copies then carry the same Message-ID, by which mail programs may show them as one.
"""

import logging
import os
import smtplib
import socket
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from email.headerregistry import Address
from email.utils import formatdate
from urllib.parse import urlsplit
from uuid import uuid4

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction
from django.db.models import F, QuerySet
from django.utils import timezone

from contractor.events import Actor, event_record
from contractor.models import Event, OutboxMail
from contractor.outbox.seal import seals_open

State = OutboxMail.State
# Longer than any conversation with a mail server whose every answer may take EMAIL_TIMEOUT.
LEASE = timedelta(minutes=10)
FIRST_PAUSE = timedelta(minutes=1)
PAUSE_GROWS = 3  # 1, 3, 9, ... minutes: eight tries take eighteen hours
MAILER = Actor(who="mail", source=Event.Source.COMMAND)
WORN_OUT = "Given up after {tries} tries. {error}"
TOO_LATE = "Too late to be worth sending. {error}"
UNWANTED = "The person stopped mail."
log = logging.getLogger(__name__)


@dataclass(frozen=True)
class MailClaim:
    """The right to send a mail: it ends when another sender claims it."""

    mail_id: int
    owner: str
    tries: int

    def rows(self) -> QuerySet[OutboxMail]:
        """Return the mail, as long as this claim still holds."""
        return OutboxMail.objects.waiting().filter(
            pk=self.mail_id, lease_owner=self.owner, tries=self.tries
        )


def outbox_send(*, clock: Callable[[], datetime] = timezone.now, most: int = 200) -> int:
    """Try every mail that is due, over one connection; return how many were sent.

    A server that cannot be reached ends the round: what was not tried yet keeps its tries.
    """
    if not settings.MAIL_ENABLED:
        return 0
    mails_settle(now=clock())
    owner = f"{socket.gethostname()}/{os.getpid()}/{uuid4().hex[:8]}"[:80]
    due = OutboxMail.objects.claimable(clock()).order_by("next_try_at", "pk")
    sent = 0
    connection = get_connection()
    try:
        for mail_id in list(due.values_list("pk", flat=True)[:most]):
            claim = mail_claim(mail_id=mail_id, owner=owner, now=clock())
            if claim is None:
                continue
            error = _hand_over(claim, connection, clock)
            sent += error is None
            if isinstance(error, OSError) and not _is_about_this_mail(error):
                break
    finally:
        _close(connection)
    return sent


def mail_claim(*, mail_id: int, owner: str, now: datetime) -> MailClaim | None:
    """Claim a mail that is due; None where another sender was quicker."""
    claimed = (
        OutboxMail.objects.claimable(now)
        .filter(pk=mail_id)
        .update(lease_owner=owner, lease_until=now + LEASE, tries=F("tries") + 1)
    )
    if not claimed:
        return None
    return MailClaim(
        mail_id, owner, OutboxMail.objects.values_list("tries", flat=True).get(pk=mail_id)
    )


def mail_finish(*, claim: MailClaim, now: datetime) -> bool:
    """Note that the mail server took the mail; False where another sender claimed it meanwhile."""
    with transaction.atomic():
        done = claim.rows().update(
            state=State.SENT, sent_at=now, lease_until=None, last_error="", lease_owner=""
        )
        if done:
            _ended(claim.mail_id, now, "sent")
        return bool(done)


def mail_fail(*, claim: MailClaim, error: str, is_final: bool, now: datetime) -> bool:
    """Note why a try failed: the mail waits, each time three times as long, or is dead."""
    worn_out = claim.tries >= OutboxMail.MAX_TRIES
    if worn_out and not is_final:
        error = WORN_OUT.format(tries=claim.tries, error=error)
    with transaction.atomic():
        if is_final or worn_out:
            return _die(claim.rows(), claim.mail_id, error, now)
        pause = FIRST_PAUSE * PAUSE_GROWS ** (claim.tries - 1)
        return bool(
            claim.rows().update(
                next_try_at=now + pause, last_error=error[:500], lease_until=None, lease_owner=""
            )
        )


def mails_settle(*, now: datetime) -> None:
    """Let die what nobody should try any more: worn out, too late, or not wanted."""
    for mail in OutboxMail.objects.hopeless(now).select_related("address"):
        if mail.address.stopped_at is not None:
            why = UNWANTED
        elif mail.tries >= OutboxMail.MAX_TRIES:
            why = WORN_OUT.format(tries=mail.tries, error=mail.last_error)
        else:
            why = TOO_LATE.format(error=mail.last_error)
        with transaction.atomic():
            _die(OutboxMail.objects.hopeless(now).filter(pk=mail.pk), mail.pk, why.strip(), now)


@transaction.atomic
def mail_retry(*, mail_id: int, actor: Actor, now: datetime) -> bool:
    """Let a dead mail be tried anew, from the first try; False where it is not dead or unwanted."""
    dead = OutboxMail.objects.filter(pk=mail_id, state=State.DEAD, address__stopped_at=None)
    again = dead.update(
        state=State.WAITING,
        tries=0,
        next_try_at=now,
        expires_at=now + timedelta(days=1),
        lease_until=None,
    )
    if again:
        _ended(mail_id, now, "tried again", actor=actor)
    return bool(again)


def message_of(mail: OutboxMail, connection: BaseEmailBackend) -> EmailMultiAlternatives:
    """Return the mail as it goes out, its links' secrets filled in."""
    headers = {
        **mail.headers,
        "Content-Language": mail.language,
        "Date": formatdate(mail.created_at.timestamp()),
        "Message-ID": f"<outbox-{mail.pk}-{mail.created_at:%Y%m%d%H%M%S}@{_domain()}>",
    }
    to = mail.address.email
    if mail.to_name:
        # Django takes a name and an address in one word; the standard library quotes the name.
        to = str(Address(mail.to_name, addr_spec=to))
    message = EmailMultiAlternatives(
        subject=mail.subject,
        body=seals_open(mail.text, mail.sealed),
        from_email=settings.DEFAULT_FROM_EMAIL,
        to=[to],
        headers=headers,
        connection=connection,
    )
    if mail.html:
        message.attach_alternative(seals_open(mail.html, mail.sealed), "text/html")
    return message


def _hand_over(
    claim: MailClaim, connection: BaseEmailBackend, clock: Callable[[], datetime]
) -> Exception | None:
    """Give a claimed mail to the server and note how that went; return what went wrong."""
    mail = OutboxMail.objects.select_related("address").get(pk=claim.mail_id)
    try:
        message_of(mail, connection).send()
    except Exception as error:
        log.warning("mail %s was not taken: %s", claim.mail_id, error)
        mail_fail(claim=claim, error=_words(error), is_final=_is_final(error), now=clock())
        _close(connection)
        return error
    mail_finish(claim=claim, now=clock())
    return None


def _is_final(error: Exception) -> bool:
    """Tell whether the server refused this mail for good (RFC 5321 4.2.1: a reply of 5yz)."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        return all(500 <= code < 600 for code, _reply in error.recipients.values())
    if isinstance(error, smtplib.SMTPDataError):
        return 500 <= error.smtp_code < 600
    return isinstance(error, ValueError)  # a header or an address that cannot be written


def _words(error: Exception) -> str:
    """Return what went wrong, in the server's own words where it refused the mailbox."""
    if isinstance(error, smtplib.SMTPRecipientsRefused):
        replies = error.recipients.values()
        return "; ".join(f"{code} {reply.decode(errors='replace')}" for code, reply in replies)
    return f"{type(error).__name__}: {error}"


def _is_about_this_mail(error: OSError) -> bool:
    return isinstance(error, smtplib.SMTPRecipientsRefused | smtplib.SMTPDataError)


def _close(connection: BaseEmailBackend) -> None:
    try:
        connection.close()
    except OSError as error:
        log.warning("the mail server went without a word: %s", error)


def _die(rows: QuerySet[OutboxMail], mail_id: int, error: str, now: datetime) -> bool:
    died = rows.update(state=State.DEAD, last_error=error[:500], lease_until=None, lease_owner="")
    if died:
        _ended(mail_id, now, "died", {"error": error[:500]})
    return bool(died)


def _ended(
    mail_id: int,
    now: datetime,
    verb: str,
    what: dict[str, str] | None = None,
    actor: Actor = MAILER,
) -> None:
    mail = OutboxMail.objects.select_related("branch").get(pk=mail_id)
    event_record(actor=actor, now=now, verb=verb, thing=mail, branch=mail.branch, what=what)


def _domain() -> str:
    return urlsplit(settings.SITE_URL).hostname or "localhost"
