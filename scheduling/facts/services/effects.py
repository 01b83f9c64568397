"""What a fact changes beyond being kept: conditions, findings, what steps took; not the plan."""

from datetime import datetime

from contractor.events import Actor
from jobs.desk.services import job_locked
from jobs.models import Job
from scheduling.facts.services.actuals import actuals_follow
from scheduling.facts.services.conditions import (
    Drawn,
    charges_settle,
    drawn_of,
    left_out_keep,
    states_settle,
)
from scheduling.facts.services.findings import VISITS, findings_follow
from scheduling.facts.services.house import FEEDS, HouseFacts, house_facts
from scheduling.models import Fact

# Taking something over changes what waits for what, which may let one more fact count.
MOST_ROUNDS = 5


def fact_follow(fact: Fact, *, actor: Actor, now: datetime) -> str:
    """Let a kept fact take effect, in the caller's transaction, the house held against others.

    All that is drawn from facts is drawn anew from all facts of the house, so that it comes out
    the same whatever order they came in; moves drawn from a fact are its speaker's, whoever acts.
    Returns '' or the sentence why it changed nothing. Never raises for what a phone may send.
    """
    if fact.kind not in FEEDS or fact.job_id is None:
        return ""
    house, drawn = _charged(job_locked(fact.job_id), now)
    if fact.kind in VISITS:
        findings_follow(fact, house, drawn, now=now)
    why = actuals_follow(fact, house, now=now)
    states_settle(drawn, now=now)
    return left_out_keep(drawn, fact, house) or why


def _charged(job: Job, now: datetime) -> tuple[HouseFacts, list[Drawn]]:
    """Return the house once all that its crews did for others is a step of ours."""
    for _round in range(MOST_ROUNDS):
        house = house_facts(job)
        drawn = drawn_of(house)
        if not charges_settle(drawn, now=now):
            break
    return house, drawn
