"""What the pages read of weeks, crew-days and runs; each a constant number of statements."""

from scheduling.queries.crew_days import crew_day_page, crew_day_pages, crew_days_of
from scheduling.queries.runs import run_page, run_visible
from scheduling.queries.shapes import (
    CrewDayCell,
    CrewDayLine,
    CrewDayPage,
    CrewRow,
    CrewStop,
    DayHead,
    Load,
    RunPage,
    ShelfGroup,
    ShelfJob,
    Strip,
    StripPart,
    WeekHead,
    WeekPage,
)
from scheduling.queries.week import branches_visible, week_page

__all__ = [
    "CrewDayCell",
    "CrewDayLine",
    "CrewDayPage",
    "CrewRow",
    "CrewStop",
    "DayHead",
    "Load",
    "RunPage",
    "ShelfGroup",
    "ShelfJob",
    "Strip",
    "StripPart",
    "WeekHead",
    "WeekPage",
    "branches_visible",
    "crew_day_page",
    "crew_day_pages",
    "crew_days_of",
    "run_page",
    "run_visible",
    "week_page",
]
