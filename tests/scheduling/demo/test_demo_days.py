"""The demo on odd days: it shows a full, posted week and a working day on the phone on each."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.core.management import call_command
from django.urls import reverse
from pytest_django import Settings

from contractor.models import Branch, User
from contractor.workdays import WorkCalendar, holiday_dates
from scheduling.demo.company import ZONE
from scheduling.demo.days import report_days
from scheduling.demo.sheet import next_monday
from scheduling.management.commands import demo
from scheduling.models import CrewDay
from tests.people import signed_in

# Moments, in UTC, at which the yard is on another day, shut, or at the turn of a year or a clock.
MOMENTS = {
    "half past midnight in UTC": datetime(2027, 3, 3, 0, 30, tzinfo=UTC),
    "half past six in UTC": datetime(2027, 3, 3, 6, 30, tzinfo=UTC),
    "the yard's Sunday evening": datetime(2027, 3, 8, 0, 30, tzinfo=UTC),
    "a Saturday": datetime(2027, 3, 6, 18, 0, tzinfo=UTC),
    "Thanksgiving": datetime(2026, 11, 26, 18, 0, tzinfo=UTC),
    "New Year's Day": datetime(2027, 1, 1, 18, 0, tzinfo=UTC),
    "31 December": datetime(2026, 12, 31, 18, 0, tzinfo=UTC),
    "clocks go forward": datetime(2027, 3, 14, 18, 0, tzinfo=UTC),
    "clocks go back": datetime(2027, 11, 7, 18, 0, tzinfo=UTC),
    "29 February": datetime(2028, 2, 29, 18, 0, tzinfo=UTC),
}
# These are also tried whole: shut at a turn of the year, shut in mid-week, and a day apart in UTC.
WHOLE = ("New Year's Day", "Thanksgiving", "the yard's Sunday evening")


def at_yard(moment: datetime) -> date:
    return moment.astimezone(ZoneInfo(ZONE)).date()


@pytest.mark.parametrize("name", MOMENTS)
def test_the_days_that_are_told_are_working_days_before_the_planned_week(name: str) -> None:
    today = at_yard(MOMENTS[name])
    off = {
        day for year in (today.year - 1, today.year, today.year + 1) for day in holiday_dates(year)
    }
    calendar = WorkCalendar(holidays=frozenset(off))
    days = report_days(calendar, today)
    assert days == sorted(set(days))
    assert all(map(calendar.is_working, days))
    assert days[0] < today
    assert all(day < next_monday(today) for day in days)
    # Where no day of this week is left, the planned week has the next one.
    assert len(days) == 2 or calendar.on_or_after(today) >= next_monday(today)
    assert (today in days) == calendar.is_working(today)


@pytest.fixture
def _at(settings: Settings, request: pytest.FixtureRequest) -> Iterator[None]:
    settings.DEBUG = True
    with time_machine.travel(MOMENTS[request.param], tick=True):
        yield


@pytest.mark.django_db
@pytest.mark.parametrize("_at", WHOLE, indirect=True)
def test_the_demo_shows_a_full_week_and_a_day_on_the_phone(
    _at: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(demo, "SOLVE_SECONDS", 2)
    out = StringIO()
    call_command("demo", no_serve=True, stdout=out)
    branch = Branch.objects.get()
    today = at_yard(datetime.now(UTC))
    monday = next_monday(today)
    posted = CrewDay.objects.posted().filter(crew__branch=branch, stops__isnull=False)
    week = posted.filter(date__range=(monday, monday + timedelta(days=6)))
    assert week.values("date").distinct().count() >= 4
    assert f"/week/{monday.isocalendar().year}-W{monday.isocalendar().week:02}/" in out.getvalue()
    ahead = posted.filter(crew__members__user__username="cleo", date__gte=today).earliest("date")
    cleo = signed_in(User.objects.get(username="cleo"))
    address = reverse("crew-day", args=[ahead.crew_id, ahead.date.isoformat()])
    assert address in cleo.get(reverse("crew-days")).content.decode()
    assert cleo.get(address).status_code == 200
