"""How a crew's day goes, from its plan and the facts said of it; knows neither Django nor rows."""

from scheduling.progress.day import (
    Check,
    DayPlan,
    PlannedStep,
    PlannedStop,
    Said,
    finished_counting,
)
from scheduling.progress.stand import (
    Action,
    DayProgress,
    NextAction,
    StepProgress,
    StopProgress,
    StopState,
    day_progress,
)

__all__ = [
    "Action",
    "Check",
    "DayPlan",
    "DayProgress",
    "NextAction",
    "PlannedStep",
    "PlannedStop",
    "Said",
    "StepProgress",
    "StopProgress",
    "StopState",
    "day_progress",
    "finished_counting",
]
