"""Changes by hand on the small week that can be worked out on paper; no database."""

import pytest

from scheduling.planning.check import judge
from scheduling.planning.edit.move import (
    best_order,
    divisions,
    room_for_whole_days,
    steps_put,
    steps_taken_off,
)
from scheduling.planning.findings import Code
from scheduling.planning.placing import drive_minutes, placed_steps
from scheduling.planning.plan import Plan
from tests.scheduling.planning.weeks import clean_plan, visit, week

TWO_BLOWERS = [{"kind": "blower", "available": [2, 2, 2, 2]}]


def test_a_step_moves_whole_to_another_day() -> None:
    change = steps_put(week(machines=TWO_BLOWERS), clean_plan(), ["A/3"], "ash", 3)
    assert change.is_clean
    assert placed_steps(change.plan)["A/3"].days == (3,)
    # A is finished a day later: one more late day and one more day of waiting.
    assert change.after.total - change.before.total == 15000 + 400


def test_a_machine_that_is_out_already_refuses_the_move() -> None:
    change = steps_put(week(), clean_plan(), ["A/3"], "ash", 3)
    assert [found.rule for found in change.new] == [7]


def test_a_step_that_cannot_start_on_the_day_is_refused_with_the_rule() -> None:
    change = steps_put(week(), clean_plan(), ["A/2"], "ash", 0)
    assert {found.rule for found in change.new} >= {6}


def test_a_crew_that_is_off_is_refused_and_no_later_day_is_taken_instead() -> None:
    change = steps_put(week(), Plan(), ["B/1"], "birch", 1)
    assert 1 in {found.rule for found in change.new}


def test_a_crew_that_is_not_able_is_refused() -> None:
    change = steps_put(week(), clean_plan(), ["A/3"], "birch", 3)
    assert any(broken.finding.code == Code.NOT_ABLE for broken in change.new)


def test_the_room_of_a_whole_day_is_less_set_up_and_drive() -> None:
    problem = week()
    room = room_for_whole_days(problem, problem.crew_by_id["ash"], problem.job_by_id["B"], 0)
    assert room == 480 - 20 - 2 * 10


def test_the_ways_to_divide_a_long_step() -> None:
    problem = week()
    ways = list(divisions(problem, problem.crew_by_id["ash"], "B/1", 0))
    # 600 minutes: whole, a day of 440 and a rest of 160, or the rest first.
    assert ways == [[(0, 600)], [(0, 440), (1, 160)], [(0, 160), (1, 440)]]


def test_a_rest_under_the_shortest_part_makes_a_whole_day_fall_short() -> None:
    problem = week()
    jobs = [job for job in problem.jobs if job.id == "B"]
    assert jobs[0].steps[0].minutes["ash"] == 600
    tight = week(min_part_minutes=180)
    ways = list(divisions(tight, tight.crew_by_id["ash"], "B/1", 0))
    assert ways == [[(0, 600)], [(0, 420), (1, 180)], [(0, 180), (1, 420)]]
    for parts in ways[1:]:
        plan = Plan(tuple(visit("ash", day, B={"1": minutes}) for day, minutes in parts))
        assert judge(tight, plan).clean


@pytest.mark.parametrize("day", [0, 1, 2])
def test_a_long_step_is_divided_and_stays_clean(day: int) -> None:
    change = steps_put(week(), Plan(), ["B/1"], "ash", day)
    assert change.is_clean
    assert placed_steps(change.plan)["B/1"].days == (day, day + 1)


def test_a_division_goes_over_a_day_off() -> None:
    change = steps_put(week(), Plan(), ["B/1"], "birch", 0)
    assert change.is_clean
    assert placed_steps(change.plan)["B/1"].days == (0, 2)


def test_later_steps_follow_on_the_first_day_that_fits() -> None:
    change = steps_put(week(), Plan(), ["A/1", "A/2", "A/3"], "ash", 0)
    placed = placed_steps(change.plan)
    # A/2 is closed on day 0, A/3 waits a day after it.
    assert [placed[f"A/{n}"].days for n in (1, 2, 3)] == [(0,), (1,), (2,)]


def test_a_step_without_a_day_left_refuses_the_whole_move() -> None:
    change = steps_put(week(), Plan(), ["A/2", "A/3"], "ash", 3)
    assert change.new


def test_taking_a_step_off_takes_the_later_ones_along() -> None:
    change = steps_taken_off(week(), clean_plan(), ["A/1"])
    assert change.is_clean
    assert set(placed_steps(change.plan)) == {"B/1", "C/1"}


def test_objections_that_stand_already_do_not_count() -> None:
    broken = Plan((*clean_plan().visits, visit("birch", 1, X={"1": 5})))
    problem = week(machines=TWO_BLOWERS)
    assert not judge(problem, broken).clean
    assert steps_put(problem, broken, ["A/3"], "ash", 3).is_clean


def test_the_shortest_order_is_found_among_all() -> None:
    far = week(travel_minutes=[[0, 30, 10], [10, 0, 15], [30, 15, 0]])
    tour = best_order(far, visit("ash", 0, A={"1": 120}, C={"1": 90}))
    assert [stop.job for stop in tour.stops] == ["C", "A"]
    assert drive_minutes(far, tour) == 10 + 15 + 10
