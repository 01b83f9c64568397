"""Working days, holidays and crew minutes of a day; must not know the clock, Django or any row."""

import re
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple, Self

import holidays as holiday_tables

ONE_DAY = timedelta(days=1)
ONE_WEEK = timedelta(weeks=1)
MONDAY_TO_FRIDAY = frozenset(range(5))

# A year of days off in a row is a mistake in the settings, not a calendar to search through.
LONGEST_CLOSURE_DAYS = 366

# 5 U.S.C. 6103(a), in the order of the year, by the names that the holidays library gives them.
FEDERAL_HOLIDAYS = (
    "New Year's Day",
    "Martin Luther King Jr. Day",
    "Washington's Birthday",
    "Memorial Day",
    "Juneteenth National Independence Day",
    "Independence Day",
    "Labor Day",
    "Columbus Day",
    "Veterans Day",
    "Thanksgiving Day",
    "Christmas Day",
)

# The six on which US building sites are closed nearly everywhere (common practice, no source).
USUAL_HOLIDAYS = (
    "New Year's Day",
    "Memorial Day",
    "Independence Day",
    "Labor Day",
    "Thanksgiving Day",
    "Christmas Day",
)

OBSERVED = " (observed)"
ISO_WEEK_TEXT = re.compile(r"(?P<year>[0-9]{4})-W(?P<week>[0-9]{2})")


class WorkdayError(ValueError):
    """A calendar, week or holiday that cannot be; the message says what was expected."""


@dataclass(frozen=True)
class WorkCalendar:
    """The days on which a branch works: weekdays (Monday 0 to Sunday 6) less its holidays."""

    weekdays: frozenset[int] = MONDAY_TO_FRIDAY
    holidays: frozenset[date] = frozenset()

    def __post_init__(self) -> None:
        if not self.weekdays:
            raise WorkdayError("weekdays: none given, expected at least one of 0 (Monday) to 6")
        wrong = sorted(self.weekdays - set(range(7)))
        if wrong:
            raise WorkdayError(f"weekdays: {wrong[0]}, expected 0 (Monday) to 6 (Sunday)")

    def is_working(self, day: date) -> bool:
        """Tell whether the branch works on this day."""
        return day.weekday() in self.weekdays and day not in self.holidays

    def on_or_after(self, day: date) -> date:
        """Return the day itself when it is a working day, else the next one."""
        return self._seek(day, ONE_DAY)

    def on_or_before(self, day: date) -> date:
        """Return the day itself when it is a working day, else the one before."""
        return self._seek(day, -ONE_DAY)

    def next_working(self, day: date) -> date:
        """Return the first working day after this day."""
        return self._seek(day + ONE_DAY, ONE_DAY)

    def previous_working(self, day: date) -> date:
        """Return the last working day before this day."""
        return self._seek(day - ONE_DAY, -ONE_DAY)

    def plus(self, day: date, count: int) -> date:
        """Return the count-th working day after `day`; before if negative; `day` itself for 0."""
        step = self.next_working if count > 0 else self.previous_working
        for _ in range(abs(count)):
            day = step(day)
        return day

    def working_days(self, first: date, last: date) -> list[date]:
        """Return working days from `first` to `last`, both included; none if `last` is earlier."""
        span = range((last - first).days + 1)
        days = (first + timedelta(days=number) for number in span)
        return [day for day in days if self.is_working(day)]

    def count(self, after: date, until: date) -> int:
        """Count the working days after `after` and up to `until`; negative when turned round."""
        if until < after:
            return -self.count(until, after)
        weeks, rest = divmod((until - after).days, 7)
        tail = (until - timedelta(days=number) for number in range(rest))
        weekdays = weeks * len(self.weekdays) + sum(day.weekday() in self.weekdays for day in tail)
        return weekdays - sum(self._closes(day) for day in self.holidays if after < day <= until)

    def index(self, first: date, day: date) -> int:
        """Return where `day` stands among the working days, counted from 0 at `first`.

        `first` must be a working day. A day off counts as the working day before it, so work
        promised for a Saturday is late from Monday on. Days before `first` have negative numbers
        and days beyond a plan's end go on counting: lateness in working days is a difference.
        """
        if not self.is_working(first):
            raise WorkdayError(f"first day {first}: not a working day of this calendar")
        return self.count(first, day)

    def _closes(self, holiday: date) -> bool:
        return holiday.weekday() in self.weekdays

    def _seek(self, day: date, step: timedelta) -> date:
        start = day
        while not self.is_working(day):
            if abs((day - start).days) >= LONGEST_CLOSURE_DAYS:
                raise WorkdayError(f"no working day within a year of {start}: see the holidays")
            day += step
        return day


def crew_minutes(
    calendar: WorkCalendar, day: date, daily_minutes: int, days_off: Collection[date] = ()
) -> int:
    """Return the minutes a crew can work and drive on a day: 0 when the branch or crew is off."""
    if daily_minutes < 0:
        raise WorkdayError(f"daily minutes: {daily_minutes}, expected 0 or more")
    return daily_minutes if calendar.is_working(day) and day not in days_off else 0


def short_crew_minutes(
    minutes: int, usual_step_minutes: int, left_step_minutes: int, people_left: int
) -> int:
    """Return a day's minutes of a crew that is short of people, rounded down.

    Step minutes are stated for the usual crew, so the day is cut by usual minutes / minutes with
    who is left: 480 minutes and a step of 120 that now takes 160 leave 360. Never more than
    `minutes`; 0 with fewer than two people, as hopper and hose each need one (common practice,
    no source).
    """
    if usual_step_minutes <= 0 or left_step_minutes <= 0:
        raise WorkdayError("step minutes: expected more than 0")
    if people_left < 2:
        return 0
    return min(minutes, minutes * usual_step_minutes // left_step_minutes)


class IsoWeek(NamedTuple):
    """A week of ISO 8601: from Monday; week 1 of a year is the one that holds 4 January."""

    year: int
    week: int

    @classmethod
    def of(cls, day: date) -> Self:
        """Return the week that holds this day."""
        year, week, _ = day.isocalendar()
        return cls(year, week)

    @property
    def monday(self) -> date:
        """The first day of the week."""
        return date.fromisocalendar(self.year, self.week, 1)

    def days(self) -> list[date]:
        """Return the seven days from Monday to Sunday."""
        return [self.monday + timedelta(days=number) for number in range(7)]

    def plus(self, weeks: int) -> "IsoWeek":
        """Return the week so many weeks later, or earlier when negative."""
        return IsoWeek.of(self.monday + weeks * ONE_WEEK)

    def __str__(self) -> str:
        return f"{self.year:04d}-W{self.week:02d}"


def parse_iso_week(text: str) -> IsoWeek:
    """Return the week written as `2027-W09`; WorkdayError says what is wrong with other text."""
    found = ISO_WEEK_TEXT.fullmatch(text.strip())
    if found is None:
        raise WorkdayError(f"week {text!r}: expected a year and ISO week such as 2027-W09")
    year, week = int(found["year"]), int(found["week"])
    last = _weeks_in(year) if date.min.year < year < date.max.year else 0
    if not last:
        raise WorkdayError(f"week {text!r}: the year {year} is out of range")
    if not 1 <= week <= last:
        raise WorkdayError(f"week {text!r}: {year} has weeks 01 to {last}")
    return IsoWeek(year, week)


def weeks_working_days(calendar: WorkCalendar, first: IsoWeek, weeks: int = 1) -> list[date]:
    """Return the working days of so many weeks in a row, from Monday of the first."""
    if weeks < 1:
        raise WorkdayError(f"weeks: {weeks}, expected 1 or more")
    last = first.monday + weeks * ONE_WEEK - ONE_DAY
    return calendar.working_days(first.monday, last)


def holiday_dates(year: int, names: Collection[str] = USUAL_HOLIDAYS) -> dict[date, str]:
    """Return the dates in a year on which these federal holidays fall or are observed, with names.

    A holiday on a Saturday is observed the Friday before, one on a Sunday the Monday after (5
    U.S.C. 6103(b), Executive Order 11582); both days are given. New Year's Day on a Saturday is
    thus observed in the year before. WorkdayError names a holiday that does not exist.
    """
    unknown = sorted(set(names) - set(FEDERAL_HOLIDAYS))
    if unknown:
        raise WorkdayError(f"holiday {unknown[0]!r}: expected one of {', '.join(FEDERAL_HOLIDAYS)}")
    table = holiday_tables.country_holidays("US", years=year, language="en_US")
    return {
        day: name for day, name in sorted(table.items()) if name.removesuffix(OBSERVED) in names
    }


def _weeks_in(year: int) -> int:
    # 28 December always lies in the last week of its ISO year.
    return date(year, 12, 28).isocalendar().week
