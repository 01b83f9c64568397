"""Both crews of a yard turned away at once, each told three times, on six connections."""

from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import Any
from unittest.mock import patch
from uuid import UUID

from django.db import connections

from contractor.models import OutboxMail, User
from scheduling.facts.services.facts import facts_take
from scheduling.models import Fact, PlanningRun, TurnedAway
from scheduling.runs.services.replans import replans_ask
from tests.people import MONDAY, company_make
from tests.scheduling.gather.test_gather_rest import Monday, clock

CONNECTIONS = 6


def main() -> dict[str, Any]:
    """Let both crews loose on a company of their own; for a child process."""
    company = company_make()
    User.objects.filter(username="omar").update(email="omar@example.com")
    monday = Monday(company)
    north = _fact(1, company.north.pk, monday.lot.pk)
    south = _fact(2, company.south.pk, monday.mill.pk)
    sends = [(company.cleo, north), (company.saul, south)] * 3
    # No worker is called: what was asked for is looked at as it lies.
    with patch("scheduling.runs.bell.ring"), ThreadPoolExecutor(CONNECTIONS) as pool:
        refused = sum(pool.map(_send, sends))
        waiting = TurnedAway.objects.unplanned().count()
        PlanningRun.objects.update(state=PlanningRun.State.CANCELLED)
        again = len(replans_ask(now=clock("7:35")))
    return {
        "refused": refused,
        "facts": Fact.objects.count(),
        "told": TurnedAway.objects.count(),
        "mails": OutboxMail.objects.count(),
        "lost": TurnedAway.objects.filter(run=None).count(),
        "runs": PlanningRun.objects.count(),
        "runs_for_who_waited": again == (1 if waiting else 0),
    }


def _fact(number: int, crew: int, job: int) -> dict[str, Any]:
    return {
        "id": str(UUID(int=number)),
        "kind": "turned_away",
        "crew": crew,
        "day": MONDAY.isoformat(),
        "job": job,
        "at": clock("7:30").isoformat(),
        "what": {"why": "locked"},
    }


def _send(sent: tuple[User, dict[str, Any]]) -> int:
    person, fact = sent
    take = partial(facts_take, phone=None, sent_at=clock("7:31"), now=clock("7:31"))
    try:
        (taken,) = take(person=person, facts=[fact])
    finally:
        connections.close_all()
    return int(taken.state == "refused")
