"""What hangs on a house being ready, as the plan tells it through `plan_ports`; knows no week."""

from dataclasses import dataclass
from datetime import date

from jobs.conditions.readiness import JobCondition


@dataclass(frozen=True)
class Stake:
    """A crew's visit to a house, and what it puts at risk.

    step_kinds: those that begin on that day. days_left: working days of the yard until then, 0 for
    today. chance: that the house is ready for all of them. turned_away_cents: what it costs to
    come for nothing, as the planner reckons it. posted: crews and builders see it.
    """

    job_id: int
    day: date
    crew: str
    week: str
    posted: bool
    step_kinds: tuple[str, ...]
    days_left: int
    chance: float
    turned_away_cents: int

    @property
    def at_risk_cents(self) -> int:
        """The cost of a crew that is turned away times the chance that it is, half to even."""
        return round((1 - self.chance) * self.turned_away_cents)

    @property
    def percent(self) -> int:
        """The chance as a person says it, rounded down so that it never promises too much."""
        return int(self.chance * 100 + 1e-9)

    @property
    def urgency(self) -> float:
        """Cents at risk for each working day on which something can still be done about them."""
        return self.at_risk_cents / max(1, self.days_left)

    def hangs_on(self, condition: JobCondition) -> bool:
        """Tell whether the crew would be turned away for want of this."""
        waits = condition.is_awaited and not condition.is_settled
        return waits and not set(self.step_kinds).isdisjoint(condition.holds)
