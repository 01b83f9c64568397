"""The nouns of planning, importable from one place."""

from scheduling.models.fact import Fact, FactCorrection, FactPhoto
from scheduling.models.run import PlanningRun
from scheduling.models.turned_away import TurnedAway
from scheduling.models.week import CrewDay, Part, Stop, Week, WeekVersion
from scheduling.models.window import WindowTold

__all__ = [
    "CrewDay",
    "Fact",
    "FactCorrection",
    "FactPhoto",
    "Part",
    "PlanningRun",
    "Stop",
    "TurnedAway",
    "Week",
    "WeekVersion",
    "WindowTold",
]
