"""Each rule has a plan that breaks only that rule, on a week that a foreman can check."""

from __future__ import annotations

from typing import Any

import pytest

from scheduling.planning.check import judge, judgement_to_json
from scheduling.planning.plan import Part, Plan, Stop, Visit
from scheduling.planning.problem import Problem
from scheduling.planning.rules import RULES
from tests.scheduling.planning.weeks import clean_plan, job_data, step_data, visit, week


def broken(problem: Problem, plan: Plan) -> set[int]:
    return {violation.rule for violation in judge(problem, plan).violations}


def only(*visits: Visit, **changes: Any) -> set[int]:
    return broken(week(**changes), Plan(visits))


def test_the_clean_plan_breaks_nothing() -> None:
    assert judge(week(), clean_plan()).clean


def test_the_empty_plan_breaks_nothing() -> None:
    assert only() == set()


RULE_1 = {
    "two crew-days on one day": [visit("ash", 0, A={"1": 120}), visit("ash", 0, B={})],
    "a job twice": [
        Visit("ash", 0, (Stop("A", (Part("A/1", 120),)), Stop("B", ()), Stop("A", ()))),
    ],
    "a day that is not there": [visit("ash", 4, B={})],
    "a crew that is not there": [visit("elm", 0, B={})],
    "a job that is not there": [visit("ash", 0, Z={})],
}


@pytest.mark.parametrize("name", RULE_1)
def test_rule_1_crew_days(name: str) -> None:
    assert only(*RULE_1[name]) == {1}


def test_rule_1_off_days_stay_empty() -> None:
    """Birch is off on day 1; without hours every visit breaks rule 2 as well."""
    assert only(visit("birch", 1, A={})) == {1, 2}
    birch = {"id": "birch", "home": "yard", "minutes": [480, 0, 480, 480], "overtime": [90] * 4}
    assert only(visit("birch", 1, C={}), crews=[birch | {"id": "ash"}, birch]) == {1}


def test_rule_1_allows_so_many_stops() -> None:
    three = visit("ash", 1, A={"1": 120}, B={}, C={})
    assert only(three) == set()
    assert only(three, max_stops=2) == {1}


def test_rule_2_hours() -> None:
    """Drive 20 + set-up 20 + work must fit 480 + 90 minutes: 530 of work do, 531 do not."""
    fits = week(jobs=[job_data("A", "north", [step_data("A/1", {"ash": 530})])])
    too_long = week(jobs=[job_data("A", "north", [step_data("A/1", {"ash": 531})])])
    assert broken(fits, Plan((visit("ash", 0, A={"1": 530}),))) == set()
    assert broken(too_long, Plan((visit("ash", 0, A={"1": 531}),))) == {2}


def test_rule_2_counts_the_drive_in_the_order_of_the_stops() -> None:
    """Home-north-south-home is 10 + 15 + 10; with two set-ups 495 minutes of work fit."""
    jobs = [
        job_data("A", "north", [step_data("A/1", {"ash": 400})]),
        job_data("B", "south", [step_data("B/1", {"ash": 95})]),
        job_data("C", "south", [step_data("C/1", {"ash": 96})]),
    ]
    assert only(visit("ash", 0, A={"1": 400}, B={"1": 95}), jobs=jobs) == set()
    assert only(visit("ash", 0, A={"1": 400}, C={"1": 96}), jobs=jobs) == {2}


RULE_3 = {
    "a crew that is not able": [visit("ash", 0, C={"1": 90})],
    "two crews": [visit("ash", 0, B={"1": 440}), visit("birch", 2, B={"1": 160})],
    "minutes missing": [visit("ash", 0, A={"1": 119})],
    "a step that is not there": [visit("ash", 0, A={"7": 119})],
    "a step of another job": [Visit("ash", 0, (Stop("B", (Part("A/1", 120),)),))],
    "two parts on one day": [
        Visit("ash", 0, (Stop("A", (Part("A/1", 60), Part("A/1", 60))),)),
    ],
    "a day between": [visit("ash", 0, B={"1": 440}), visit("ash", 2, B={"1": 160})],
    "no whole day": [visit("ash", 0, B={"1": 300}), visit("ash", 1, B={"1": 300})],
    "more minutes than it takes": [visit("ash", 0, A={"1": 121})],
    "a day between that is its own": [
        visit("birch", 0, B={"1": 440}),
        visit("birch", 3, B={"1": 260}),
    ],
    "another stop on the whole day": [
        visit("ash", 0, A={}, B={"1": 400}),
        visit("ash", 1, B={"1": 200}),
    ],
    "overtime on the whole day": [visit("ash", 0, B={"1": 450}), visit("ash", 1, B={"1": 150})],
}


@pytest.mark.parametrize("name", RULE_3)
def test_rule_3_whole_steps(name: str) -> None:
    assert only(*RULE_3[name]) == {3}


def divided(total: int, *parts: int, crew: str = "ash", days: Any = (0, 1, 2)) -> set[int]:
    """Return the rules broken by one step of `total` minutes in these parts; 440 fill a day."""
    jobs = [job_data("A", "north", [step_data("A/1", {"ash": total, "birch": total})])]
    visits = [visit(crew, day, A={"1": part}) for day, part in zip(days, parts, strict=False)]
    return broken(week(jobs=jobs), Plan(tuple(visits)))


def test_rule_3_allows_whole_days_and_a_rest() -> None:
    assert divided(600, 440, 160) == set()
    assert divided(600, 160, 440) == set()
    assert divided(1000, 440, 440, 120) == set()
    assert divided(1000, 120, 440, 440) == set()
    assert divided(1000, 440, 120, 440) == {3}
    assert divided(970, 440, 530) == set(), "the rest may use overtime"
    assert divided(700, 350, 350) == {3}
    assert divided(500, 440, 60) == set()
    assert divided(499, 440, 59) == {3}, "a part under the least"
    assert divided(1060, 530, 530) == {3}, "overtime on both days"


def test_rule_3_lets_one_whole_day_fall_short_for_a_rest_of_exactly_the_least() -> None:
    assert divided(470, 410, 60) == set()
    assert divided(470, 60, 410) == set()
    assert divided(470, 409, 61) == {3}
    assert divided(441, 381, 60) == set(), "short by 59"
    assert divided(440, 380, 60) == {3}, "short by 60: it would have fitted one day"
    assert divided(910, 440, 410, 60) == set()
    assert divided(910, 425, 425, 60) == {3}, "two fall short"


def test_rule_3_counts_the_days_of_the_crew() -> None:
    """Birch is off on day 1, so that days 0 and 2 follow one another."""
    assert divided(600, 440, 160, crew="birch", days=(0, 2)) == set()
    assert divided(600, 440, 160, crew="ash", days=(0, 2)) == {3}


def test_rule_3_lets_a_whole_day_hold_another_step_of_the_same_stop() -> None:
    """120 minutes of A/1 and 320 of A/2 fill the day; the 80 left are the rest."""
    steps = [step_data("A/1", {"ash": 120}), step_data("A/2", {"ash": 400})]
    days = [visit("ash", 0, A={"1": 120, "2": 320}), visit("ash", 1, A={"2": 80})]
    assert only(*days, jobs=[job_data("A", "north", steps)]) == set()


def test_rule_4_order_and_lag() -> None:
    assert only(visit("ash", 0, A={"2": 120}), visit("ash", 1, A={"1": 120})) == {4, 6}
    assert only(visit("ash", 1, A={"2": 120}), visit("ash", 2, A={"1": 120})) == {4}
    assert only(visit("ash", 1, A={"1": 120, "2": 120, "3": 60})) == {4}, "A/3 has a lag of 1"
    assert only(visit("ash", 1, A={"2": 120, "1": 120})) == {4}, "the wrong order in a stop"


def test_rule_4_counts_whole_days_between() -> None:
    steps = [step_data("A/1", {"ash": 60}), step_data("A/2", {"ash": 60}, lag_days=3)]
    jobs = [job_data("A", "north", steps)]
    assert only(visit("ash", 0, A={"1": 60}), visit("ash", 2, A={"2": 60}), jobs=jobs) == {4}
    assert only(visit("ash", 0, A={"1": 60}), visit("ash", 3, A={"2": 60}), jobs=jobs) == set()


def test_rule_5_one_crew_at_a_job() -> None:
    assert only(visit("ash", 0, A={"1": 120}), visit("birch", 0, A={})) == {5}
    assert only(visit("ash", 3, C={}), visit("birch", 3, C={"1": 90})) == {5}
    assert only(visit("ash", 2, B={}), visit("birch", 2, B={})) == {5}
    both = [visit("ash", 2, A={"1": 120}), visit("birch", 2, A={"2": 120})]
    assert only(*both) == {4, 5}, "where both work the order is broken as well"


def test_rule_6_closed_days() -> None:
    assert only(visit("ash", 0, A={"1": 120, "2": 120})) == {6}
    for day, risk in ((1, [0.0, 1.0, 0.0, 0.0]), (3, [0, 0, 0, 1])):
        jobs = [job_data("A", "north", [step_data("A/1", {"ash": 60}, risk=risk)])]
        assert only(visit("ash", day, A={"1": 60}), jobs=jobs) == {6}
        assert only(visit("ash", 2, A={"1": 60}), jobs=jobs) == set()
    almost = step_data("A/1", {"ash": 60}, risk=[0.999999] * 4)
    assert only(visit("ash", 0, A={"1": 60}), jobs=[job_data("A", "north", [almost])]) == set()


def test_rule_6_holds_for_the_first_day_of_a_divided_step() -> None:
    step = step_data("A/1", {"ash": 600}, risk=[1.0, 0.0, 0.0, 0.0])
    days = [visit("ash", 0, A={"1": 440}), visit("ash", 1, A={"1": 160})]
    assert only(*days, jobs=[job_data("A", "north", [step])]) == {6}


def test_rule_6_closes_only_the_start() -> None:
    step = step_data("A/1", {"ash": 600}, risk=[0.0, 1.0, 1.0, 1.0])
    days = [visit("ash", 0, A={"1": 440}), visit("ash", 1, A={"1": 160})]
    assert only(*days, jobs=[job_data("A", "north", [step])]) == set()


def test_rule_7_machines() -> None:
    first, second = visit("ash", 2, A={"1": 120, "2": 120}), visit("birch", 2, C={"1": 90})
    assert only(first, second) == {7}
    assert only(first, second, machines=[{"kind": "blower", "available": [0, 0, 2, 0]}]) == set()
    assert only(second, machines=[{"kind": "blower", "available": [1, 1, 0, 1]}]) == {7}


def test_rule_7_counts_every_day_of_a_divided_step() -> None:
    step = step_data("A/1", {"ash": 600}, machine="blower")
    days = [visit("ash", 0, A={"1": 440}), visit("ash", 1, A={"1": 160})]
    for available, expected in (([1, 1, 0, 0], set()), ([1, 0, 1, 1], {7}), ([0, 1, 1, 1], {7})):
        machines = [{"kind": "blower", "available": available}]
        jobs = [job_data("A", "north", [step])]
        assert only(*days, jobs=jobs, machines=machines) == expected


def test_rule_7_counts_each_kind_by_itself() -> None:
    steps = [step_data("A/1", {"ash": 60}, machine="blower")]
    other = [step_data("B/1", {"birch": 60}, machine="pump")]
    jobs = [job_data("A", "north", steps), job_data("B", "south", other)]
    both = [visit("ash", 0, A={"1": 60}), visit("birch", 0, B={"1": 60})]
    kinds = [{"kind": kind, "available": [1] * 4} for kind in ("blower", "pump")]
    assert only(*both, jobs=jobs, machines=kinds) == set()
    assert only(*both, jobs=jobs, machines=[kinds[0], kinds[1] | {"available": [0] * 4}]) == {7}


def test_rule_7_counts_one_machine_for_a_crew_day() -> None:
    steps = [
        step_data("A/1", {"ash": 60}, machine="blower"),
        step_data("A/2", {"ash": 60}, machine="blower"),
    ]
    other = job_data("B", "south", [step_data("B/1", {"ash": 60}, machine="blower")])
    day = visit("ash", 0, A={"1": 60, "2": 60}, B={"1": 60})
    assert only(day, jobs=[job_data("A", "north", steps), other]) == set()


def test_rule_8_fixed_steps() -> None:
    fixed = [{"step": "B/1", "crew": "ash", "day": 0}]
    days = [visit("ash", 0, B={"1": 440}), visit("ash", 1, B={"1": 160})]
    later = [visit("ash", 1, B={"1": 440}), visit("ash", 2, B={"1": 160})]
    assert only(*days, fixed=fixed) == set()
    assert only(*later, fixed=fixed) == {8}
    assert only(fixed=fixed) == {8}
    birch = [visit("birch", 2, B={"1": 440}), visit("birch", 3, B={"1": 260})]
    assert only(*birch, fixed=[fixed[0] | {"day": 2}]) == {8}, "another crew"
    assert only(*birch, fixed=[fixed[0] | {"crew": "birch", "day": 3}]) == {8}, "where it ends"
    twice = [*fixed, fixed[0] | {"day": 1}]
    assert only(*days, fixed=twice) == {8}, "of two that differ one is broken"


def test_rule_9_no_gaps() -> None:
    assert only(visit("ash", 2, A={"2": 120})) == {9}, "the first is missing"
    assert only(visit("ash", 2, A={"3": 60})) == {9}, "the first two are missing"
    outer = [visit("ash", 1, A={"1": 120}), visit("ash", 2, A={"3": 60})]
    assert only(*outer) == {9}, "the one between is missing"
    assert only(visit("ash", 1, A={"1": 120})) == set(), "the end may be missing"


def test_there_are_nine_rules_and_each_is_described() -> None:
    assert list(RULES) == list(range(1, 10))
    for number, rule in RULES.items():
        assert (rule.__doc__ or "").startswith(f"Rule {number}: ")


def test_a_judgement_is_written_with_rule_place_and_words() -> None:
    data = judgement_to_json(judge(week(), Plan((visit("ash", 2, A={"2": 120}),))), week().days)
    assert data["violations"] == [
        {
            "rule": 9,
            "text": "A/2 is placed, A/1 before it is not",
            "code": "gap_before",
            "values": {"before": "A/1", "step": "A/2"},
        }
    ]
    assert data["total"] == sum(data["costs"].values())
