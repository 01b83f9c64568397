"""The round of the post, as beat, command and demo make it; development mail lies in files."""

import threading
from email import message_from_bytes, policy
from io import StringIO
from pathlib import Path
from unittest.mock import patch

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection
from pytest_django import Settings

from contractor.models import OutboxMail
from contractor.outbox.services.send import outbox_send
from scheduling.checklists import mail_round
from scheduling.tasks import mail_send
from tests.contractor.outbox.letters import letter_write
from tests.people import NOW, Company

pytestmark = pytest.mark.django_db


@pytest.fixture
def folder(tmp_path: Path, settings: Settings) -> Path:
    """Where the mail of development lies."""
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = tmp_path
    return tmp_path


def test_development_mail_goes_to_a_file(company: Company, folder: Path) -> None:
    letter_write(company.fairfield)
    assert outbox_send(clock=lambda: NOW) == 1
    (file,) = folder.iterdir()
    mail = message_from_bytes(file.read_bytes(), policy=policy.default)
    assert mail["Subject"] == "What tomorrow hangs on"


def test_the_task_and_the_command_make_a_round(company: Company, folder: Path) -> None:
    with patch.object(mail_round, "outbox_send", return_value=3) as sent:
        mail_send()
        out = StringIO()
        call_command("send_mail", once=True, stdout=out)
    assert sent.call_count == 2
    assert out.getvalue() == "digests written: 0, arrivals told: 0, mails sent: 3\n"


def test_the_command_names_the_setting_that_is_missing(settings: Settings) -> None:
    settings.MAIL_ENABLED = False
    with pytest.raises(CommandError, match="EMAIL_URL is missing"):
        call_command("send_mail", once=True)
    assert OutboxMail.objects.count() == 0


def test_rounds_go_on_after_the_database_failed() -> None:
    stop, calls = threading.Event(), []

    def fails_once() -> None:
        calls.append(1)
        if len(calls) == 2:
            stop.set()
        raise DatabaseError("restarting")

    with (
        patch.object(mail_round, "mail_round", side_effect=fails_once),
        patch.object(connection, "close"),
    ):
        mail_round.mail_rounds(stop, pause_seconds=0)
    assert len(calls) == 2
