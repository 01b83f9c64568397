"""Writes a mail into the outbox, in the transaction of the change; sends nothing."""

import unicodedata
from datetime import datetime

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import translation

from contractor.events import Actor, event_record
from contractor.models import Branch, MailAddress, OutboxMail
from contractor.outbox.letters import Letter
from contractor.outbox.services.stops import stop_url

MAX_SUBJECT = 150


def address_ensure(email: str) -> MailAddress | None:
    """Return the row of a mailbox, made where there is none; None for what is no mail address."""
    plain = email.strip().lower()
    try:
        validate_email(plain)
    except ValidationError:
        return None
    return MailAddress.objects.get_or_create(email=plain)[0]


@transaction.atomic
def mail_write(
    *,
    key: str,
    kind: str,
    branch: Branch,
    address: MailAddress,
    to_name: str,
    language: str,
    letter: Letter,
    expires_at: datetime,
    actor: Actor,
    now: datetime,
    spans_branches: bool = False,
) -> OutboxMail | None:
    """Put a mail into the outbox; None where its owner stopped mail or `key` was written before.

    Called within the transaction of a change, it stands and falls with that change.
    """
    if address.stopped_at is not None or OutboxMail.objects.filter(key=key).exists():
        return None
    stop = stop_url(address)
    with translation.override(language):
        context = _context(letter, stop, language)
        mail = OutboxMail(
            key=key,
            kind=kind,
            branch=branch,
            spans_branches=spans_branches,
            address=address,
            to_name=one_line(to_name)[:120],
            language=language,
            subject=one_line(letter.subject)[:MAX_SUBJECT],
            # A template of plain text escapes nothing, since it is no markup.
            text=render_to_string("contractor/outbox/mail_letter.txt", context),
            html=render_to_string("contractor/outbox/mail_letter.html", context),
            headers=stop_headers(stop),
            sealed=list(letter.seals),
            created_at=now,
            next_try_at=now,
            expires_at=expires_at,
        )
    mail.full_clean()
    mail.save(force_insert=True)
    what = {"key": key, "to": address.email, "subject": mail.subject}
    event_record(actor=actor, now=now, verb="written", thing=mail, branch=branch, what=what)
    return mail


def one_line(text: str) -> str:
    """Put the text on one line: control signs and marks that turn writing about become spaces."""
    plain = "".join(" " if unicodedata.category(sign)[0] == "C" else sign for sign in text)
    return " ".join(plain.split())


def stop_headers(stop: str) -> dict[str, str]:
    """Return headers by which a mail program offers to stop mail at one click (RFCs 2369, 8058)."""
    return {
        "List-Unsubscribe": f"<{stop}>",
        "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
        "Auto-Submitted": "auto-generated",  # RFC 3834: nobody's out-of-office answers it
    }


def _context(letter: Letter, stop: str, language: str) -> dict[str, object]:
    own = f"{settings.SITE_URL}/"
    lines = [one_line(line) for line in letter.lines]
    return {
        "subject": one_line(letter.subject),
        "lines": [{"text": line, "is_link": line.startswith(own)} for line in lines],
        "stop": stop,
        "language": language,
    }
