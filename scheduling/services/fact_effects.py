"""What a fact changes beyond being kept: conditions, findings, what steps took; not the plan."""

from datetime import datetime

from contractor.events import Actor
from scheduling.models import Fact


def fact_follow(fact: Fact, *, actor: Actor, now: datetime) -> str:
    """Let a kept fact take effect, in the caller's transaction, the house held against others.

    Returns '' or the sentence why it changed nothing. Never raises for what a phone may send.
    """
    return ""
