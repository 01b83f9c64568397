"""The meal of a crew's day against what is published about meal times.

California Labor Code 512(a): no work period of more than five hours without a meal period of not
less than 30 minutes. 29 CFR 785.19: a meal in which the employee is completely relieved, ordinarily
30 minutes or more, is no working time. Local law decides; these are examples.
"""

from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.progress import MealRule, PlannedStep, TimedVisit, day_start, day_times

pytestmark = pytest.mark.pure

FIVE_HOURS = timedelta(hours=5)
HALF_HOUR = timedelta(minutes=30)
START = day_start(date(2027, 3, 1), time(7), "America/Los_Angeles")
USUAL = MealRule(minutes=30, latest_minutes=300)

PARTS = st.lists(st.integers(5, 480), min_size=1, max_size=3)
VISITS = st.lists(st.tuples(st.integers(0, 60), PARTS), min_size=1, max_size=4)


def visits_of(found: list[tuple[int, list[int]]]) -> list[TimedVisit]:
    return [
        TimedVisit(job, setup, tuple(PlannedStep(f"step {n}", m) for n, m in enumerate(parts)))
        for job, (setup, parts) in enumerate(found)
    ]


@given(found=VISITS, drive=st.integers(0, 120))
def test_nobody_works_more_than_five_hours_without_a_meal(
    found: list[tuple[int, list[int]]], drive: int
) -> None:
    times = day_times(
        starts_at=START, visits=visits_of(found), drive=lambda start, end: drive, meal=USUAL
    )
    worked = sum(setup + sum(parts) for setup, parts in found) + drive * (len(found) + 1)
    if worked <= 300:
        assert times.meal is None
        assert times.ends_at - START <= FIVE_HOURS
    else:
        assert times.meal is not None
        assert times.meal.starts_at - START <= FIVE_HOURS
        assert times.meal.ends_at - times.meal.starts_at == HALF_HOUR
    # 785.19: the meal is on the clock and in no worked minute.
    meal = HALF_HOUR if times.meal else timedelta()
    assert times.ends_at - START - meal == timedelta(minutes=worked)


@given(found=VISITS, drive=st.integers(0, 120))
def test_what_follows_follows_in_order(found: list[tuple[int, list[int]]], drive: int) -> None:
    times = day_times(
        starts_at=START, visits=visits_of(found), drive=lambda start, end: drive, meal=USUAL
    )
    moments = [START]
    for visit in times.visits:
        moments += [visit.set_out_at, visit.arrive_at, visit.leave_at]
    moments.append(times.ends_at)
    assert moments == sorted(moments)


def test_a_day_from_seven_to_five_with_a_relieved_meal_is_nine_and_a_half_hours_of_work() -> None:
    """Out 7:00, at the site 8:00 to 16:00 with its meal, back 17:00: 9.5 h (785.19, 785.38)."""
    site = TimedVisit(1, 0, (PlannedStep("flat_blow", 450),))
    times = day_times(starts_at=START, visits=[site], drive=lambda start, end: 60, meal=USUAL)
    at_site = times.of(1)
    assert (at_site.arrive_at.time(), at_site.leave_at.time()) == (time(8), time(16))
    assert times.ends_at.time() == time(17)
    assert times.meal is not None
    assert times.meal.starts_at == datetime.combine(START.date(), time(12), START.tzinfo)
