"""The office is told of a crew turned away once, and who saw to it first stays written down."""

from uuid import uuid4

import pytest

from contractor.events import Actor
from contractor.models import Event, OutboxMail
from jobs.models import Condition
from scheduling.models import TurnedAway
from scheduling.turned_away.services import turned_away_see
from tests.scheduling.gather.test_gather_rest import Monday, clock
from tests.scheduling.houses import condition_make
from tests.scheduling.runs.test_replans import monday, send, send_as

__all__ = ["monday"]
pytestmark = pytest.mark.django_db


def test_the_office_is_told_once(monday: Monday) -> None:
    chase = condition_make(monday.lot, ["flat_blow"], state=Condition.State.REPORTED_DONE)
    fact_id = uuid4()
    what = {"missing": [chase.pk], "why": "lid is off"}
    for now in ("7:30", "7:31", "7:40"):
        send_as(monday, "7:30", "turned_away", monday.lot, what=what, fact_id=fact_id, now=now)
    # The other lead of the crew says the same.
    send(monday, "7:41", "turned_away", monday.lot, why="chase is open")
    mail = OutboxMail.objects.get(kind="turned")
    assert mail.address.email == "omar@example.com"
    assert mail.subject == "North was turned away from Quarry Lane 1, Lot 1"
    for words in ("Cleo said on Mon Mar 1 at 7:30 AM", "chase cover", "lid is off", str(fact_id)):
        assert words in mail.text
    assert mail.headers["List-Unsubscribe"]
    assert TurnedAway.objects.count() == 1


def test_nobody_of_another_yard_is_told(monday: Monday) -> None:
    monday.company.lena.email = "lena@example.com"
    monday.company.lena.save()
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    assert [mail.address.email for mail in OutboxMail.objects.all()] == ["omar@example.com"]


def test_the_first_who_sees_to_it_stays_written_down(monday: Monday) -> None:
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    row, omar, olive = TurnedAway.objects.get(), monday.company.omar, monday.company.olive
    for person, at in ((omar, "7:40"), (olive, "7:50")):
        seen = turned_away_see(turned_away=row, actor=Actor.of_user(person), now=clock(at))
        assert (seen.seen_by, seen.seen_who, seen.seen_at) == (omar, "Omar", clock("7:40"))
    assert Event.objects.filter(noun="turnedaway", verb="seen").count() == 1
