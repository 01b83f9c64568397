"""A mailbox, a letter and a mail server on loopback, for tests of the outbox."""

import socket
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from email import message_from_bytes, policy
from email.message import EmailMessage
from typing import Any, cast

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session
from pytest_django import Settings

from contractor.models import Branch, OutboxMail
from contractor.outbox.letters import Letter
from contractor.outbox.services.write import address_ensure, mail_write
from tests.people import ACTOR, NOW

EMAIL = "rosa@hazel.example"


def letter_write(
    branch: Branch,
    key: str = "digest:1:2027-02-25",
    *,
    email: str = EMAIL,
    to_name: str = "Rosa Reyes",
    language: str = "en",
    letter: Letter | None = None,
    now: datetime = NOW,
) -> OutboxMail | None:
    """Put a letter to Rosa into the outbox."""
    address = address_ensure(email)
    assert address is not None
    return mail_write(
        key=key,
        kind=OutboxMail.Kind.DIGEST,
        branch=branch,
        address=address,
        to_name=to_name,
        language=language,
        letter=letter or Letter("What tomorrow hangs on", ["Quarry Lane 1:", "- chase cover"]),
        expires_at=now + timedelta(days=2),
        actor=ACTOR,
        now=now,
    )


class Receiver:
    """What a mail server does with mail: keeps it, or answers with the reply it was given."""

    def __init__(self) -> None:
        self.taken: list[Envelope] = []
        self.replies: dict[str, str] = {}

    async def handle_RCPT(  # noqa: N802 - the server calls it so
        self, server: SMTP, session: Session, envelope: Envelope, to: str, options: list[str]
    ) -> str:
        """Refuse the recipients that there is a reply for."""
        if to in self.replies:
            return self.replies[to]
        envelope.rcpt_tos.append(to)
        return "250 OK"

    async def handle_DATA(  # noqa: N802 - the server calls it so
        self, server: SMTP, session: Session, envelope: Envelope
    ) -> str:
        """Keep the mail."""
        self.taken.append(envelope)
        return "250 taken"

    @property
    def mails(self) -> list[EmailMessage]:
        """The mails as a mail program reads them (RFC 5322, MIME)."""
        return [
            message_from_bytes(cast(bytes, each.content), policy=policy.default)
            for each in self.taken
        ]


@contextmanager
def mail_server(settings: Settings, **options: Any) -> Iterator[Receiver]:
    """A real SMTP server on loopback, to which the site's mail goes meanwhile."""
    receiver = Receiver()
    controller = Controller(receiver, hostname="127.0.0.1", port=_free_port(), **options)
    controller.start()
    try:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST = "127.0.0.1"
        settings.EMAIL_PORT = controller.port
        yield receiver
    finally:
        controller.stop()


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
