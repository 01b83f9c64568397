"""What day it is at a branch; knows no clock, the moment is always given."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from contractor.models import Branch


def local_date(branch: Branch, now: datetime) -> date:
    """The calendar day in the branch's own zone at that moment."""
    return now.astimezone(ZoneInfo(branch.time_zone)).date()
