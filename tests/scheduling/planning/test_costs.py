"""Each cost to the cent, worked out on paper for the small week."""

from __future__ import annotations

from typing import Any

from scheduling.planning.check import judge
from scheduling.planning.costs import COSTS, costs_of, expected_loss
from scheduling.planning.plan import Plan, Visit
from tests.scheduling.planning.weeks import clean_plan, job_data, step_data, visit, week, week_data


def costs(*visits: Visit, **changes: Any) -> dict[str, int]:
    return costs_of(week(**changes), Plan(visits))


def test_the_clean_plan_costs_what_paper_says() -> None:
    """Drives 20 + 35 + 20 + 20 minutes; A ends a day late on day 2; B on day 1, C on day 3."""
    assert costs_of(week(), clean_plan()) == {
        "travel": 95 * 100,
        "overtime": 0,
        "crew_day": 4 * 2500,
        "turned_away": 2500,
        "late": 15000,
        "wait": (2 + 1 + 3) * 400,
        "unplaced": 0,
        "handoff": 0,
        "change_day": 0,
        "change_crew": 0,
    }
    assert judge(week(), clean_plan()).total == 39400


def test_a_plan_with_every_cost_costs_what_paper_says() -> None:
    """Ash does A/1 on day 0, birch A/2 on day 2; A/3 is left out, so that A ends on day 4.

    B takes 970 minutes of ash: 440 fill day 1; 530 of work, 20 of set-up and 20 of drive on
    day 2 are 90 over 480. Five crew-days of 20 minutes of drive each. A/1 was posted to birch
    on day 1, so that its day and its crew change; C/1 stays as posted.
    """
    jobs = week_data()["jobs"]
    jobs[1]["steps"][0]["minutes"] = {"ash": 970}
    posted = [
        {"step": "A/1", "crew": "birch", "day": 1},
        {"step": "C/1", "crew": "birch", "day": 3},
    ]
    problem = week(jobs=jobs, posted=posted)
    days = (
        visit("ash", 0, A={"1": 120}),
        visit("ash", 1, B={"1": 440}),
        visit("ash", 2, B={"1": 530}),
        visit("birch", 2, A={"2": 120}),
        visit("birch", 3, C={"1": 90}),
    )
    judgement = judge(problem, Plan(days))
    assert judgement.clean
    assert judgement.costs == {
        "travel": 5 * 20 * 100,
        "overtime": 90 * 140,
        "crew_day": 5 * 2500,
        "turned_away": 1000,
        "late": 3 * 15000,
        "wait": (4 + 2 + 3) * 400,
        "unplaced": 120_000,
        "handoff": 4000,
        "change_day": 6000,
        "change_crew": 2500,
    }
    assert judgement.total == 217_200


def test_drive_is_paid_in_the_order_of_the_stops_and_in_its_direction() -> None:
    """Home-north 10, north-south 15, south-home 30; the other way round 5 + 40 + 20."""
    travel = [[0, 10, 5], [20, 0, 15], [30, 40, 0]]
    there = visit("ash", 0, A={"1": 120}, B={})
    back = visit("ash", 0, B={}, A={"1": 120})
    assert costs(there, travel_minutes=travel)["travel"] == (10 + 15 + 30) * 100
    assert costs(back, travel_minutes=travel)["travel"] == (5 + 40 + 20) * 100


def test_the_empty_plan_pays_for_all_that_is_left_out() -> None:
    """Five steps at 120,000; three jobs end on day 4: A is 3 days late, B and C one each."""
    found = costs()
    assert found["unplaced"] == 5 * 120_000
    assert found["wait"] == 3 * 4 * 400
    assert found["late"] == (3 + 1 + 1) * 15_000
    assert sum(found.values()) == 600_000 + 4_800 + 75_000


def test_overtime_is_what_passes_the_usual_day() -> None:
    """Drive 20, set-up 20 and 500 of work are 540 minutes: 60 over."""
    jobs = [job_data("A", "north", [step_data("A/1", {"ash": 500})])]
    assert costs(visit("ash", 0, A={"1": 500}), jobs=jobs)["overtime"] == 60 * 140


def test_a_divided_step_risks_only_its_first_day() -> None:
    step = step_data("A/1", {"ash": 600}, risk=[0.5, 0.9, 0.9, 0.9])
    days = [visit("ash", 0, A={"1": 440}), visit("ash", 1, A={"1": 160})]
    assert costs(*days, jobs=[job_data("A", "north", [step])])["turned_away"] == 5000


def test_expected_losses_are_rounded_half_to_even() -> None:
    def loss(risk: float, cents: int) -> int:
        data = step_data("A/1", {"ash": 60}, risk=[risk] * 4, turned_away=cents)
        return expected_loss(week(jobs=[job_data("A", "north", [data])]).jobs[0].steps[0], 0)

    assert (loss(0.5, 1), loss(0.5, 3), loss(0.25, 10), loss(0.75, 10)) == (0, 2, 2, 8)


def test_a_handoff_is_paid_between_crews_only() -> None:
    first = visit("ash", 0, A={"1": 120})
    assert costs(first, visit("birch", 2, A={"2": 120}))["handoff"] == 4000
    assert costs(first, visit("ash", 2, A={"2": 120}))["handoff"] == 0
    back = visit("ash", 3, A={"3": 60})
    assert costs(first, visit("birch", 2, A={"2": 120}), back)["handoff"] == 8000


def test_changes_of_what_was_posted_are_paid() -> None:
    posted = [{"step": "A/1", "crew": "ash", "day": 0}, {"step": "C/1", "crew": "birch", "day": 3}]

    def changes(*visits: Visit) -> tuple[int, int]:
        found = costs(*visits, posted=posted)
        return found["change_day"], found["change_crew"]

    kept = visit("birch", 3, C={"1": 90})
    assert changes(visit("ash", 0, A={"1": 120}), kept) == (0, 0)
    assert changes(visit("ash", 1, A={"1": 120}), kept) == (6000, 0)
    assert changes(visit("birch", 0, A={"1": 120}), kept) == (0, 2500)
    assert changes(kept) == (6000, 2500), "left out counts as both"


def test_a_promise_beyond_the_last_day_can_still_be_late() -> None:
    job = job_data("A", "north", [step_data("A/1", {"ash": 60})], promised_day=2)
    assert costs(jobs=[job])["late"] == 2 * 15_000
    assert costs(jobs=[job | {"promised_day": 9}])["late"] == 0
    assert costs(jobs=[job | {"promised_day": -1}])["late"] == 5 * 15_000


def test_unknown_names_do_not_stop_the_pricing() -> None:
    assert costs(visit("elm", 0, A={"1": 120}), visit("ash", 9, Z={"1": 1}))["travel"] == 0


def test_the_costs_have_spoken_names() -> None:
    assert list(COSTS) == list(costs())
