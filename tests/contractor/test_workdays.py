"""Working days, holidays, weeks and crew minutes."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from contractor.workdays import (
    FEDERAL_HOLIDAYS,
    MONDAY_TO_FRIDAY,
    USUAL_HOLIDAYS,
    IsoWeek,
    WorkCalendar,
    WorkdayError,
    crew_minutes,
    holiday_dates,
    parse_iso_week,
    short_crew_minutes,
    weeks_working_days,
)

# 2027: 1 March is a Monday.
THU, FRI, SAT, SUN = (date(2027, 2, 25) + timedelta(days=n) for n in range(4))
MON, TUE, WED = (date(2027, 3, 1) + timedelta(days=n) for n in range(3))
BRANCH = WorkCalendar()
CLOSED_TUESDAY = WorkCalendar(holidays=frozenset({TUE}))

days = st.dates(date(2026, 1, 1), date(2028, 12, 31))
calendars = st.builds(
    WorkCalendar,
    st.frozensets(st.integers(0, 6), min_size=1),
    st.frozensets(st.dates(date(2027, 1, 1), date(2027, 3, 31)), max_size=12),
)


@pytest.mark.parametrize(("day", "works"), [(FRI, True), (SAT, False), (SUN, False), (MON, True)])
def test_a_branch_works_from_monday_to_friday_unless_told_otherwise(day: date, works: bool) -> None:
    assert BRANCH.is_working(day) is works


def test_a_branch_may_work_on_saturdays() -> None:
    six_days = WorkCalendar(MONDAY_TO_FRIDAY | {5})
    assert six_days.is_working(SAT)
    assert six_days.next_working(FRI) == SAT


def test_a_holiday_is_no_working_day() -> None:
    assert not CLOSED_TUESDAY.is_working(TUE)
    assert CLOSED_TUESDAY.next_working(MON) == WED
    assert CLOSED_TUESDAY.previous_working(WED) == MON


def test_next_and_previous_leave_the_day_itself_out() -> None:
    assert BRANCH.next_working(FRI) == MON
    assert BRANCH.previous_working(MON) == FRI


def test_on_or_after_and_on_or_before_keep_a_working_day() -> None:
    assert BRANCH.on_or_after(SAT) == BRANCH.on_or_after(MON) == MON
    assert BRANCH.on_or_before(SUN) == BRANCH.on_or_before(FRI) == FRI


@pytest.mark.parametrize(
    ("day", "count", "expected"),
    [(FRI, 0, FRI), (FRI, 1, MON), (FRI, 3, WED), (SAT, 1, MON), (MON, -1, FRI), (MON, -2, THU)],
)
def test_nth_working_day_after_or_before(day: date, count: int, expected: date) -> None:
    assert BRANCH.plus(day, count) == expected


def test_working_days_of_a_span_include_both_ends() -> None:
    assert CLOSED_TUESDAY.working_days(FRI, WED) == [FRI, MON, WED]
    assert BRANCH.working_days(MON, FRI) == []


def test_a_promised_day_is_counted_from_the_first_day_of_the_plan() -> None:
    assert BRANCH.index(MON, MON) == 0
    assert BRANCH.index(MON, WED) == 2
    assert CLOSED_TUESDAY.index(MON, WED) == 1


def test_a_promised_day_past_the_plan_goes_on_counting() -> None:
    assert BRANCH.index(MON, MON + timedelta(weeks=4)) == 20


def test_a_promised_day_before_the_plan_is_negative_so_that_lateness_counts_right() -> None:
    assert BRANCH.index(MON, FRI) == -1
    assert BRANCH.index(MON, THU) == -2


def test_a_promise_for_a_day_off_counts_as_the_working_day_before() -> None:
    assert BRANCH.index(MON, SAT) == BRANCH.index(MON, SUN) == -1
    assert BRANCH.index(THU, SAT) == BRANCH.index(THU, FRI) == 1


def test_the_first_day_of_a_plan_must_be_a_working_day() -> None:
    with pytest.raises(WorkdayError, match="2027-02-27: not a working day"):
        BRANCH.index(SAT, MON)


@given(calendars, days, days)
def test_counting_by_weeks_agrees_with_counting_one_by_one(
    calendar: WorkCalendar, after: date, until: date
) -> None:
    after, until = sorted((after, until))
    by_hand = len(calendar.working_days(after + timedelta(days=1), until))
    assert calendar.count(after, until) == by_hand
    assert calendar.count(until, after) == -by_hand


@given(calendars, days, st.integers(-30, 30))
def test_index_undoes_plus(calendar: WorkCalendar, day: date, count: int) -> None:
    first = calendar.on_or_after(day)
    assert calendar.index(first, calendar.plus(first, count)) == count


@pytest.mark.parametrize(
    ("weekdays", "message"), [(frozenset(), "none given"), (frozenset({7}), "7, expected 0")]
)
def test_impossible_weekdays_are_refused(weekdays: frozenset[int], message: str) -> None:
    with pytest.raises(WorkdayError, match=message):
        WorkCalendar(weekdays)


def test_a_calendar_without_working_days_is_refused_when_asked() -> None:
    year = frozenset(MON + timedelta(days=n) for n in range(-400, 400))
    with pytest.raises(WorkdayError, match="no working day within a year"):
        WorkCalendar(holidays=year).next_working(MON)


def test_crew_minutes_are_none_on_days_off() -> None:
    assert crew_minutes(BRANCH, MON, 480) == 480
    assert crew_minutes(BRANCH, SAT, 480) == 0
    assert crew_minutes(CLOSED_TUESDAY, TUE, 480) == 0
    assert crew_minutes(BRANCH, WED, 480, days_off={WED}) == 0


def test_crew_minutes_below_zero_are_refused() -> None:
    with pytest.raises(WorkdayError, match="expected 0 or more"):
        crew_minutes(BRANCH, MON, -1)


@pytest.mark.parametrize(
    ("usual", "left", "people", "expected"),
    [
        (120, 160, 2, 360),
        (120, 120, 2, 480),
        (120, 100, 4, 480),
        (100, 130, 2, 369),
        (90, 99, 1, 0),
    ],
)
def test_a_crew_short_of_people_has_a_shorter_day(
    usual: int, left: int, people: int, expected: int
) -> None:
    assert short_crew_minutes(480, usual, left, people) == expected


def test_step_minutes_of_none_are_refused() -> None:
    with pytest.raises(WorkdayError, match="more than 0"):
        short_crew_minutes(480, 120, 0, 2)


def test_a_week_is_read_written_and_listed() -> None:
    week = parse_iso_week("2027-W09")
    assert week == IsoWeek(2027, 9)
    assert str(week) == "2027-W09"
    assert week.monday == MON
    assert week.days()[-1] == date(2027, 3, 7)
    assert IsoWeek.of(date(2027, 3, 7)) == week


def test_weeks_run_over_the_end_of_a_year() -> None:
    assert str(parse_iso_week("2026-W53").plus(1)) == "2027-W01"
    assert str(parse_iso_week("2027-W01").plus(-1)) == "2026-W53"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "expected a year and ISO week such as 2027-W09"),
        ("2027-09", "expected a year and ISO week such as 2027-W09"),
        ("2027-W9", "expected a year and ISO week such as 2027-W09"),
        ("2027-W09-1", "expected a year and ISO week such as 2027-W09"),
        ("２０２７-W09", "expected a year and ISO week such as 2027-W09"),
        ("2027-W00", "2027 has weeks 01 to 52"),
        ("2027-W53", "2027 has weeks 01 to 52"),
        ("2026-W54", "2026 has weeks 01 to 53"),
        ("0000-W01", "out of range"),
        ("9999-W52", "out of range"),
    ],
)
def test_a_wrong_week_says_what_was_expected(text: str, message: str) -> None:
    with pytest.raises(WorkdayError) as refused:
        parse_iso_week(text)
    assert message in str(refused.value)
    assert repr(text) in str(refused.value)


def test_working_days_of_two_weeks() -> None:
    listed = weeks_working_days(CLOSED_TUESDAY, IsoWeek(2027, 9), 2)
    assert len(listed) == 9
    assert (listed[0], listed[1], listed[-1]) == (MON, WED, date(2027, 3, 12))


def test_no_weeks_are_refused() -> None:
    with pytest.raises(WorkdayError, match="weeks: 0"):
        weeks_working_days(BRANCH, IsoWeek(2027, 9), 0)


def test_usual_holidays_are_federal_ones() -> None:
    assert set(USUAL_HOLIDAYS) < set(FEDERAL_HOLIDAYS)
    assert set(holiday_dates(2025).values()) == set(USUAL_HOLIDAYS)


def test_named_holidays_alone_are_given() -> None:
    assert holiday_dates(2027, ["Labor Day"]) == {date(2027, 9, 6): "Labor Day"}
    assert holiday_dates(2027, []) == {}


def test_an_observed_holiday_stands_beside_its_own_date() -> None:
    found = holiday_dates(2027, ["Independence Day"])
    assert found == {
        date(2027, 7, 4): "Independence Day",
        date(2027, 7, 5): "Independence Day (observed)",
    }


def test_an_unknown_holiday_is_named() -> None:
    with pytest.raises(WorkdayError, match="'Arbor Day': expected one of New Year's Day"):
        holiday_dates(2027, ["Arbor Day", "Labor Day"])


def test_a_holiday_at_the_edge_of_a_span_counts_at_its_end_only() -> None:
    assert CLOSED_TUESDAY.count(TUE, WED) == 1
    assert CLOSED_TUESDAY.count(MON, TUE) == 0


def test_a_closure_of_a_year_is_searched_through_but_no_longer_one() -> None:
    every_day = frozenset(range(7))
    closed = frozenset(MON + timedelta(days=n) for n in range(366))
    reopened = MON + timedelta(days=366)
    assert WorkCalendar(every_day, closed).on_or_after(MON) == reopened
    with pytest.raises(WorkdayError, match=f"within a year of {MON}"):
        WorkCalendar(every_day, closed | {reopened}).on_or_after(MON)


def test_nothing_and_one_are_fine_where_they_make_sense() -> None:
    assert crew_minutes(BRANCH, MON, 0) == 0
    assert short_crew_minutes(480, 1, 1, 2) == 480
    assert short_crew_minutes(480, 1, 2, 2) == 240
    assert weeks_working_days(BRANCH, IsoWeek(2027, 9)) == BRANCH.working_days(
        MON, date(2027, 3, 5)
    )


def test_calendars_can_be_compared_and_not_changed() -> None:
    assert {WorkCalendar(), BRANCH} == {BRANCH}
    with pytest.raises(AttributeError):
        BRANCH.holidays = frozenset()  # type: ignore[misc]
