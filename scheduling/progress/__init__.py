"""How a crew's day goes, from its plan and the facts said of it; knows neither Django nor rows."""

from scheduling.progress.clock import (
    DayTimes,
    DriveMinutes,
    Meal,
    MealRule,
    Visit,
    VisitTimes,
    Window,
    arrival_window,
    day_start,
    day_times,
)
from scheduling.progress.day import (
    Check,
    DayPlan,
    PlannedStep,
    PlannedStop,
    Ready,
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
    "DayTimes",
    "DriveMinutes",
    "Meal",
    "MealRule",
    "NextAction",
    "PlannedStep",
    "PlannedStop",
    "Ready",
    "Said",
    "StepProgress",
    "StopProgress",
    "StopState",
    "Visit",
    "VisitTimes",
    "Window",
    "arrival_window",
    "day_progress",
    "day_start",
    "day_times",
    "finished_counting",
]
