"""What day it is at a branch and when it works; knows no clock, the moment is always given."""

from collections.abc import Iterable
from datetime import date, datetime
from zoneinfo import ZoneInfo

from contractor.models import Branch
from contractor.workdays import WorkCalendar


def local_date(branch: Branch, now: datetime) -> date:
    """Return the calendar day in the branch's own zone at that moment."""
    return now.astimezone(ZoneInfo(branch.time_zone)).date()


def work_calendar(branch: Branch, holidays: Iterable[date]) -> WorkCalendar:
    """Return the days on which the branch works."""
    weekdays = frozenset(int(digit) - 1 for digit in branch.working_weekdays)
    return WorkCalendar(weekdays, frozenset(holidays))


def branch_calendar(branch: Branch) -> WorkCalendar:
    """Read the days on which one branch works; one query."""
    return work_calendar(branch, branch.holidays.values_list("date", flat=True))
