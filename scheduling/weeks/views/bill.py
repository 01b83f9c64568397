"""What a plan costs, each cost by the office's name; reckons nothing."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext_lazy

COST_NAMES = {
    "travel": gettext_lazy("Driving"),
    "overtime": gettext_lazy("Overtime"),
    "crew_day": gettext_lazy("Sending crews out"),
    "turned_away": gettext_lazy("Risk that a crew is turned away"),
    "late": gettext_lazy("Days past promised dates"),
    "wait": gettext_lazy("Finishing later rather than sooner"),
    "unplaced": gettext_lazy("Steps left off"),
    "handoff": gettext_lazy("Another crew takes over in a house"),
    "change_day": gettext_lazy("Posted work moved to another day"),
    "change_crew": gettext_lazy("Posted work given to another crew"),
}


@dataclass(frozen=True)
class Cost:
    """One named cost in cents."""

    name: str
    cents: int


def bill_of(costs: Mapping[str, int]) -> list[Cost]:
    """Return the costs that are not nothing, by the office's names, in the planner's order."""
    return [Cost(str(COST_NAMES.get(name, name)), cents) for name, cents in costs.items() if cents]
