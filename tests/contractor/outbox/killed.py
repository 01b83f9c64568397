"""Writes mails, or sends what is due so many minutes from now; for a child process."""

from datetime import timedelta

from django.utils import timezone

from contractor.models import OutboxMail
from contractor.outbox.services.send import outbox_send
from tests.contractor.outbox.letters import letter_write
from tests.people import company_make


def main(what: str, number: str) -> object:
    """`write` N mails, `send` what is due in N minutes, or tell the `states` of all."""
    now = timezone.now()
    if what == "write":
        branch = company_make().fairfield
        for each in range(int(number)):
            letter_write(branch, f"k{each}", email=f"a{each}@hazel.example", now=now)
    elif what == "send":
        return outbox_send(clock=lambda: now + timedelta(minutes=int(number)))
    return sorted(OutboxMail.objects.values_list("state", flat=True))
