"""One round of the post: write digests and arrivals that are due, send what waits."""

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.db import Error as DatabaseError
from django.db import connection
from django.utils import timezone

from contractor.outbox.services.send import outbox_send
from scheduling.arrivals.services import windows_write
from scheduling.checklists.services.digests import digests_write

PAUSE_SECONDS = 10
log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Round:
    """How many digests and arrivals were written, and how many mails the server took."""

    written: int
    told: int
    sent: int


def mail_round(*, clock: Callable[[], datetime] = timezone.now) -> Round:
    """Write and send once; any number of processes may do so at the same time."""
    written = digests_write(now=clock())
    told = windows_write(now=clock())
    return Round(written, told, outbox_send(clock=clock))


def mail_rounds(stop: threading.Event, pause_seconds: float = PAUSE_SECONDS) -> None:
    """Make rounds until told to stop; a database that does not answer is asked again."""
    while not stop.is_set():
        try:
            mail_round()
        except DatabaseError as error:
            log.warning("no round of the post, once more: %s", error)
        finally:
            connection.close()
        stop.wait(pause_seconds)
