"""Two senders at once, one of them killed in the middle: nothing lost, at most one sent twice."""

import time
from collections import Counter

import pytest
from pytest_django import Settings

from tests.contractor.outbox.letters import mail_server
from tests.trust.disk import Disk, Figure, answer_of, disk, figure

__all__ = ["disk", "figure"]
MAILS = 40
ME = "tests.contractor.outbox.killed"


@pytest.mark.sqlite_only
def test_a_killed_sender_loses_nothing_and_doubles_at_most_one(
    disk: Disk, figure: Figure, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    disk.call(ME, "write", str(MAILS))
    with mail_server(settings) as receiver:
        monkeypatch.setenv("EMAIL_URL", f"smtp://127.0.0.1:{settings.EMAIL_PORT}")
        killed, other = disk.child(ME, "send", "0"), disk.child(ME, "send", "0")
        while len(receiver.taken) < 5 and killed.poll() is None:
            time.sleep(0.002)
        killed.kill()
        killed.communicate()
        answer_of(other)
        disk.call(ME, "send", "11")  # when the dead one's lease has run out
        states = disk.call(ME, "states", "0")
    taken = Counter(mail["Message-ID"] for mail in receiver.mails)
    figure("mails lost", MAILS - len(taken))
    figure("mails sent twice by one killed sender", sum(taken.values()) - len(taken))
    assert states == ["sent"] * MAILS
    assert len(taken) == MAILS
    assert sum(taken.values()) - len(taken) <= 1
