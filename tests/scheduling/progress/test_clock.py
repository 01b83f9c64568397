"""Days by the clock, each worked out by hand beside it."""

from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo, available_timezones

import pytest

from scheduling.progress import (
    DayFact,
    DayPlan,
    DayTimes,
    MealRule,
    PlannedStep,
    PlannedStop,
    TimedVisit,
    arrival_window,
    day_progress,
    day_start,
    day_times,
)

pytestmark = pytest.mark.pure

ZONE = "America/Chicago"
MONDAY = date(2027, 3, 1)
# Before the end of the fifth hour, 30 minutes: California Labor Code 512(a), as an example.
MEAL = MealRule(minutes=30, latest_minutes=300)
A, B, C = 11, 12, 13


def visit(job: int, setup: int, **minutes: int) -> TimedVisit:
    return TimedVisit(job, setup, tuple(PlannedStep(kind, m) for kind, m in minutes.items()))


# Yard 20 min from each house, 15 min between two of them.
def drive(start: int | None, end: int | None) -> int:
    if start == end:
        return 0
    return 20 if None in (start, end) else 15


def at(text: str, day: date = MONDAY, zone: str = ZONE) -> datetime:
    return datetime.combine(day, time.fromisoformat(text), tzinfo=ZoneInfo(zone))


def wall(times: DayTimes) -> list[str]:
    """Arrivals and leavings as the clock on the wall shows them, then the end."""
    found = [f"{v.arrive_at:%H:%M}-{v.leave_at:%H:%M}" for v in times.visits]
    return [*found, f"{times.ends_at:%H:%M}"]


def meal(times: DayTimes) -> tuple[str, int | None] | None:
    found = times.meal
    if found is None:
        return None
    return f"{found.starts_at:%H:%M}-{found.ends_at:%H:%M}", found.job


def planned(*visits: TimedVisit, rule: MealRule = MEAL, start: str = "07:00") -> DayTimes:
    return day_times(starts_at=at(start), visits=visits, drive=drive, meal=rule)


TWO = (visit(A, 20, air_seal=100, baffles=80), visit(B, 10, flat_blow=170))
THREE = (*TWO, visit(C, 10, flat_blow=50))


def said(
    text: str, kind: str, job: int, step: str = "", number: int = 0, **what: object
) -> DayFact:
    return DayFact(f"{text}{number}", kind, at(text), job, step, None, what)


def stood(*facts: DayFact, now: str, visits: tuple[TimedVisit, ...] = THREE) -> DayTimes:
    stops = tuple(PlannedStop(v.job, v.parts) for v in visits)
    progress = day_progress(DayPlan(1, MONDAY, stops), facts)
    return day_times(
        starts_at=at("07:00"),
        visits=visits,
        drive=drive,
        meal=MEAL,
        progress=progress,
        now=at(now),
    )


def test_a_whole_day_has_its_meal_at_the_last_gap_before_the_end_of_the_fifth_hour() -> None:
    # 7:00 +20 drive = 7:20; 20 set-up + 100 + 80 = 10:40; +15 = 10:55 at B. 180 more would end
    # at 13:55, past 12:00, so they eat on arriving: 10:55-11:25; to 14:25; +20 = 14:45.
    times = planned(*TWO)
    assert wall(times) == ["07:20-10:40", "10:55-14:25", "14:45"]
    assert meal(times) == ("10:55-11:25", B)


def test_what_the_clock_shows_is_the_plans_minutes_and_the_meal() -> None:
    minutes = 20 + 20 + 100 + 80 + 15 + 10 + 170 + 20
    assert planned(*TWO).ends_at - at("07:00") == timedelta(minutes=minutes + 30)


def test_a_meal_falls_between_two_pieces_at_a_house() -> None:
    # 7:20 + 30 + 240 = 11:50; the next piece would last past 12:00.
    times = planned(visit(A, 30, air_seal=240, flat_blow=100))
    assert meal(times) == ("11:50-12:20", A)
    assert wall(times) == ["07:20-14:00", "14:20"]


def test_where_no_gap_is_near_the_crew_stops_in_the_middle_of_the_piece() -> None:
    # 7:20 + 20 + 420 in one piece: the last gap, 7:20, is no time for a meal. 12:00 it is.
    times = planned(visit(A, 20, flat_blow=420))
    assert meal(times) == ("12:00-12:30", A)
    assert wall(times) == ["07:20-15:10", "15:30"]


def test_a_gap_two_hours_before_is_near_and_one_minute_more_is_not() -> None:
    near = planned(visit(A, 0, air_seal=160, flat_blow=300))
    assert meal(near) == ("10:00-10:30", A)
    far = planned(visit(A, 0, air_seal=159, flat_blow=300))
    assert meal(far) == ("12:00-12:30", A)


def test_a_meal_may_fall_before_a_drive_at_the_house_just_left_or_on_the_road() -> None:
    # 7:20 + 270 = 11:50; the drive of 15 would end at 12:05.
    assert meal(planned(visit(A, 0, batt=270), visit(B, 0, batt=60))) == ("11:50-12:20", A)
    far = day_times(
        starts_at=at("07:00"),
        visits=[visit(A, 0, batt=60)],
        drive=lambda start, end: 400,
        meal=MEAL,
    )
    assert meal(far) == ("12:00-12:30", None)


@pytest.mark.parametrize(("minutes", "has_meal"), [(260, False), (261, True)])
def test_a_day_that_ends_with_the_fifth_hour_has_no_meal(minutes: int, has_meal: bool) -> None:
    # 20 + 260 + 20 = 300 minutes exactly.
    assert (planned(visit(A, 0, batt=minutes)).meal is not None) == has_meal


def test_a_yard_without_a_meal_has_none() -> None:
    times = planned(*TWO, rule=MealRule(0, 300))
    assert times.meal is None
    assert wall(times)[-1] == "14:15"


@pytest.mark.parametrize("day", [date(2027, 3, 14), date(2027, 11, 7), MONDAY])
def test_a_start_at_seven_stays_at_seven_when_the_clocks_change(day: date) -> None:
    # US clocks change at 2:00 on 14 March and 7 November 2027 (15 U.S.C. 260a).
    zones = sorted(zone for zone in available_timezones() if zone.startswith("US/"))
    for zone in zones:
        start = day_start(day, time(7), zone)
        times = day_times(starts_at=start, visits=TWO, drive=drive, meal=MEAL)
        assert f"{times.starts_at:%H:%M}" == "07:00"
        assert wall(times) == ["07:20-10:40", "10:55-14:25", "14:45"]


def test_a_night_in_which_clocks_change_changes_no_duration() -> None:
    # 1:00 + 140 minutes: 4:20 where 2:00 became 3:00, 2:20 where 2:00 became 1:00.
    night = (visit(A, 0, batt=120),)
    forward = day_times(
        starts_at=day_start(date(2027, 3, 14), time(1), ZONE), visits=night, drive=drive, meal=MEAL
    )
    back = day_times(
        starts_at=day_start(date(2027, 11, 7), time(1), ZONE), visits=night, drive=drive, meal=MEAL
    )
    assert wall(forward) == ["01:20-04:20", "04:40"]
    assert wall(back) == ["01:20-02:20", "02:40"]


@pytest.mark.parametrize(
    ("arrive", "told"),
    [("07:00", "06:30-08:30"), ("10:55", "10:00-12:30"), ("09:30", "09:00-11:00")],
)
def test_a_window_is_rounded_outward_to_the_half_hour(arrive: str, told: str) -> None:
    # 10:55 - 30 = 10:25, so 10:00; 10:55 + 90 = 12:25, so 12:30.
    window = arrival_window(at(arrive), 30, 90)
    assert f"{window.from_at:%H:%M}-{window.to_at:%H:%M}" == told
    assert window.holds(at(arrive))


def test_seconds_of_an_arrival_are_rounded_outward_too() -> None:
    window = arrival_window(at("09:30") + timedelta(seconds=1), 30, 90)
    assert f"{window.from_at:%H:%M}-{window.to_at:%H:%M}" == "09:00-11:30"


def test_before_anything_is_said_the_day_is_expected_as_planned() -> None:
    assert wall(stood(now="06:30")) == wall(planned(*THREE))


def test_a_crew_that_left_a_house_late_is_late_at_the_next() -> None:
    # A left at 11:10 instead of 10:40: +15 = 11:25 at B; meal there to 11:55; +180 = 14:55;
    # +15 = 15:10 at C; +60 = 16:10; +20 = 16:30.
    facts = [
        said("07:25", "arrived", A),
        said("09:40", "finished", A, "air_seal"),
        said("11:10", "finished", A, "baffles"),
    ]
    times = stood(*facts, now="11:10")
    assert wall(times) == ["07:25-11:10", "11:25-14:55", "15:10-16:10", "16:30"]
    assert (times.of(A).is_leaving_said, times.of(B).is_arrival_said) == (True, False)


def test_what_is_left_of_a_begun_piece_counts_from_when_it_began() -> None:
    # air sealing began 8:00, a photo at 8:30: 70 of 100 left, to 9:40; 80 more to 11:00; B 11:15.
    facts = [
        said("07:20", "arrived", A),
        said("08:00", "started", A, "air_seal"),
        said("08:30", "photo", A),
    ]
    times = stood(*facts, now="08:31")
    assert f"{times.of(A).leave_at:%H:%M}" == "11:00"
    assert f"{times.of(B).arrive_at:%H:%M}" == "11:15"


def test_setting_up_is_over_once_a_piece_has_begun() -> None:
    before = stood(said("07:20", "arrived", A), now="07:20")
    after = stood(said("07:20", "arrived", A), said("07:21", "started", A, "air_seal"), now="07:21")
    assert f"{before.of(A).leave_at:%H:%M}" == "10:40"  # 7:20 + 20 + 180
    assert f"{after.of(A).leave_at:%H:%M}" == "10:21"  # 7:21 + 180


def test_what_nobody_said_is_not_expected_in_the_past() -> None:
    # Nothing heard by 9:00: it sets out then at the earliest, arrives 9:20, leaves 12:00 with no
    # meal yet (20 + 100 to 11:20; the 80 would end at 12:40, so it eats 11:20-11:50) at 13:10.
    times = stood(now="09:00")
    assert f"{times.of(A).set_out_at:%H:%M}" == "09:00"
    assert f"{times.of(A).arrive_at:%H:%M}-{times.of(A).leave_at:%H:%M}" == "09:20-13:10"
    assert meal(times) == ("11:20-11:50", A)


def test_a_crew_on_the_way_arrives_by_the_drive_and_not_before_now() -> None:
    assert f"{stood(said('07:40', 'set_out', A), now='07:41').of(A).arrive_at:%H:%M}" == "08:00"
    assert f"{stood(said('07:40', 'set_out', A), now='08:20').of(A).arrive_at:%H:%M}" == "08:20"


def test_a_meal_is_over_once_something_later_was_said() -> None:
    left = [said("07:20", "arrived", A), said("12:10", "finished", A, "air_seal")]
    # 12:10: the meal is due at once, 12:10-12:40; 80 of baffles to 14:00.
    assert f"{stood(*left, now='12:10').of(A).leave_at:%H:%M}" == "14:00"
    later = [left[0], said("12:30", "finished", A, "air_seal")]
    times = stood(*later, now="12:30")
    assert times.meal is None
    assert f"{times.of(A).leave_at:%H:%M}" == "13:50"


def test_a_crew_turned_away_goes_on_from_there() -> None:
    # A sent it away at 7:40: +15 = 7:55 at B, 180 of work, to 10:55; +15 = 11:10 at C, eats
    # 11:10-11:40 (60 of work would end 12:10), to 12:40; +20 = 13:00.
    away = said("07:40", "turned_away", A, missing=[], why="locked")
    times = stood(said("07:20", "arrived", A), away, now="07:40")
    assert wall(times) == ["07:20-07:40", "07:55-10:55", "11:10-12:40", "13:00"]


def test_a_crew_that_goes_to_another_house_first_is_followed() -> None:
    # C first: there 7:30, 10 + 50 to 8:30; then A as planned comes next: 8:45; then B.
    times = stood(said("07:30", "arrived", C), now="07:30")
    assert [v.job for v in times.visits] == [C, A, B]
    assert f"{times.of(A).arrive_at:%H:%M}" == "08:45"
    assert times.of(C).is_arrival_said


def test_a_house_left_half_done_is_driven_to_again() -> None:
    # At A from 7:20, air sealing begun 7:40 and not ended; at B from 9:00. B: 10 + 170 to 12:00
    # (a day of 300 minutes then, so the meal is at its end); 15 back to A, where 100 + 80 of work
    # wait (nothing was said after it began).
    facts = [
        said("07:20", "arrived", A),
        said("07:40", "started", A, "air_seal"),
        said("09:00", "arrived", B),
    ]
    times = stood(*facts, now="09:00")
    assert [v.job for v in times.visits] == [B, A, C]
    assert f"{times.of(B).leave_at:%H:%M}" == "12:00"
    assert meal(times) == ("12:00-12:30", B)
    assert f"{times.of(A).arrive_at:%H:%M}-{times.of(A).leave_at:%H:%M}" == "12:45-15:45"


def test_who_sets_out_before_the_day_starts_eats_the_earlier() -> None:
    # Out at 6:00: the fifth hour ends at 11:00. There 6:20, 20 + 420: eats 11:00-11:30.
    one = (visit(A, 20, flat_blow=420),)
    times = stood(said("06:00", "set_out", A), now="06:01", visits=one)
    assert meal(times) == ("11:00-11:30", A)


def test_work_at_a_house_off_the_plan_takes_its_time() -> None:
    elsewhere = said("10:20", "finished", 99, "batt", minutes=60)
    times = stood(elsewhere, now="10:20")
    assert f"{times.of(A).set_out_at:%H:%M}" == "10:20"


def test_the_order_in_which_facts_come_changes_nothing() -> None:
    facts = [
        said("07:20", "arrived", A),
        said("07:40", "started", A, "air_seal"),
        said("09:20", "finished", A, "air_seal"),
        said("09:25", "started", A, "baffles"),
    ]
    assert stood(*facts, now="09:30") == stood(*reversed(facts), now="09:30")
