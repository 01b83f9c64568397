"""A yard where it is morning: a browser's test takes real time, and must not cross a midnight.

Data that are posted for "today" and read some minutes later belong to another day where the yard's
midnight lies between. So such a yard stands in the zone in which it is between eight and nine now.
"""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from tests.people import Company, company_make

MORNING_HOUR = 8
# So far do zones reach to the west of Greenwich; what lies beyond is the next day in the east.
WESTERNMOST_HOURS = -12


def morning_zone(now: datetime) -> str:
    """Return a zone of whole hours in which it is between eight and nine in the morning."""
    east_hours = MORNING_HOUR - now.astimezone(UTC).hour
    if east_hours < WESTERNMOST_HOURS:
        east_hours += 24
    # The names count westward, against all custom (IANA's time zone database, file etcetera).
    return f"Etc/GMT{-east_hours:+d}"


def yard_today() -> date:
    """Return the calendar day of a yard where it is morning now."""
    now = datetime.now(UTC)
    return now.astimezone(ZoneInfo(morning_zone(now))).date()


def company_this_morning() -> Company:
    """Build the invented company, with both its yards where it is morning now."""
    company = company_make()
    for branch in (company.fairfield, company.lowton):
        branch.time_zone = morning_zone(datetime.now(UTC))
        branch.save()
    return company
