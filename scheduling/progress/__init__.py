"""How a crew's day goes, from its plan and the facts said of it; knows neither Django nor rows."""

from scheduling.progress.clock import (
    DayTimes,
    DriveMinutes,
    Meal,
    MealRule,
    TimedVisit,
    VisitTimes,
    Window,
    arrival_window,
    day_start,
    day_times,
)
from scheduling.progress.day import (
    Check,
    DayFact,
    DayPlan,
    PlannedStep,
    PlannedStop,
    ReadyHouse,
    finished_counting,
)
from scheduling.progress.stand import (
    ActionKind,
    DayProgress,
    NextAction,
    StepProgress,
    StopProgress,
    StopState,
    day_progress,
)

__all__ = [
    "ActionKind",
    "Check",
    "DayFact",
    "DayPlan",
    "DayProgress",
    "DayTimes",
    "DriveMinutes",
    "Meal",
    "MealRule",
    "NextAction",
    "PlannedStep",
    "PlannedStop",
    "ReadyHouse",
    "StepProgress",
    "StopProgress",
    "StopState",
    "TimedVisit",
    "VisitTimes",
    "Window",
    "arrival_window",
    "day_progress",
    "day_start",
    "day_times",
    "finished_counting",
]
