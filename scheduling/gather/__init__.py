"""The only reader of the planner: rows to problem, in a constant number of queries."""

from scheduling.gather.gathered import Gathered, GatherError, gather
from scheduling.gather.holdups import Held, HoldUp, shown
from scheduling.gather.names import Names
from scheduling.gather.standing import Standing, plan_standing, without_begun

__all__ = [
    "GatherError",
    "Gathered",
    "Held",
    "HoldUp",
    "Names",
    "Standing",
    "gather",
    "plan_standing",
    "shown",
    "without_begun",
]
