"""Weeks of ISO 8601 and the federal holidays of the United States."""

from calendar import MONDAY, THURSDAY
from datetime import date, timedelta

import pytest

from contractor.workdays import FEDERAL_HOLIDAYS, IsoWeek, holiday_dates, parse_iso_week


@pytest.mark.parametrize(
    ("day", "week", "weekday"),
    [
        (date(2026, 12, 31), "2026-W53", 4),
        (date(2027, 1, 1), "2026-W53", 5),
        (date(2024, 12, 30), "2025-W01", 1),
        (date(2021, 1, 3), "2020-W53", 7),
    ],
)
def test_days_around_new_year(day: date, week: str, weekday: int) -> None:
    """ISO 8601: weeks begin on Monday, and a week belongs to the year of its Thursday."""
    assert str(IsoWeek.of(day)) == week
    assert parse_iso_week(week).days()[weekday - 1] == day


def test_week_one_holds_the_fourth_of_january() -> None:
    """ISO 8601, equivalent to holding the first Thursday of the year."""
    for year in range(1990, 2060):
        assert date(year, 1, 4) in IsoWeek(year, 1).days()


def test_years_of_53_weeks() -> None:
    """ISO 8601: years that begin or, when leap, also end on a Thursday."""
    long_years = [2020, 2026, 2032, 2037, 2043, 2048]
    found = []
    for year in range(2020, 2050):
        try:
            parse_iso_week(f"{year}-W53")
        except ValueError:
            continue
        found.append(year)
    assert found == long_years


def test_every_year_has_the_weeks_that_follow_one_another() -> None:
    """ISO 8601: the last week of a year is the one before week 1 of the next."""
    for year in range(1990, 2060):
        last = IsoWeek(year + 1, 1).plus(-1)
        assert parse_iso_week(str(last)) == last
        with pytest.raises(ValueError, match=f"{year} has weeks 01 to {last.week}$"):
            parse_iso_week(f"{year}-W{last.week + 1}")


def nth(number: int, weekday: int, year: int, month: int) -> date:
    """The number-th such weekday of a month, found by walking through it."""
    first = date(year, month, 1)
    matching = [first + timedelta(days=n) for n in range(31)]
    matching = [day for day in matching if day.month == month and day.weekday() == weekday]
    return matching[number - 1] if number > 0 else matching[number]


@pytest.mark.parametrize("year", range(2022, 2040))
def test_federal_holidays_fall_where_the_law_puts_them(year: int) -> None:
    """5 U.S.C. 6103(a), as amended by Pub. L. 117-17 (Juneteenth, from 2021)."""
    by_law = {
        "New Year's Day": date(year, 1, 1),
        "Martin Luther King Jr. Day": nth(3, MONDAY, year, 1),
        "Washington's Birthday": nth(3, MONDAY, year, 2),
        "Memorial Day": nth(-1, MONDAY, year, 5),
        "Juneteenth National Independence Day": date(year, 6, 19),
        "Independence Day": date(year, 7, 4),
        "Labor Day": nth(1, MONDAY, year, 9),
        "Columbus Day": nth(2, MONDAY, year, 10),
        "Veterans Day": date(year, 11, 11),
        "Thanksgiving Day": nth(4, THURSDAY, year, 11),
        "Christmas Day": date(year, 12, 25),
    }
    found = holiday_dates(year, FEDERAL_HOLIDAYS)
    assert {name: day for day, name in found.items() if "(observed)" not in name} == by_law


@pytest.mark.parametrize(
    ("year", "day", "name"),
    [
        (2026, date(2026, 7, 3), "Independence Day (observed)"),
        (2027, date(2027, 7, 5), "Independence Day (observed)"),
        (2027, date(2027, 12, 24), "Christmas Day (observed)"),
        (2027, date(2027, 12, 31), "New Year's Day (observed)"),
    ],
)
def test_holidays_on_a_weekend_are_observed_beside_it(year: int, day: date, name: str) -> None:
    """5 U.S.C. 6103(b) for Saturdays, Executive Order 11582 for Sundays."""
    assert holiday_dates(year)[day] == name
