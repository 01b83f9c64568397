"""The command `send_mail`: writes what is due and sends mail where there is no Celery beat."""

import threading
from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management import CommandError
from django.core.management.base import BaseCommand

from scheduling.checklists.mail_round import mail_round, mail_rounds


class Command(BaseCommand):
    help = (
        "Write the superintendents' digests and the arrivals whose time it is, and send the mail "
        "that waits, round after round. The demo does this itself; with Redis, Celery's beat and "
        "worker do it."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--once", action="store_true", help="make one round and leave")

    def handle(self, *args: Any, **options: Any) -> None:
        if not settings.MAIL_ENABLED:
            raise CommandError("EMAIL_URL is missing: expected smtp://…, so that mail can be sent.")
        if options["once"]:
            done = mail_round()
            self.stdout.write(
                f"digests written: {done.written}, arrivals told: {done.told}, "
                f"mails sent: {done.sent}"
            )
            return
        mail_rounds(threading.Event())
