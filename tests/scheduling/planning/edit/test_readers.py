"""Hold-ups, sentences of change and the plain rule, on the small week."""

from __future__ import annotations

import pytest

from scheduling.planning.check import judge
from scheduling.planning.edit.changes import changes_of
from scheduling.planning.edit.explain import holdup
from scheduling.planning.plan import Plan
from scheduling.planning.problem import Assignment
from scheduling.planning.trials.rule_of_thumb import plain_plan
from tests.scheduling.planning.weeks import clean_plan, job_data, plain, step_data, visit, week


def test_a_holdup_names_the_rule_for_each_day_and_crew() -> None:
    """C/1 needs birch and the blower; birch is off on day 1, ash has the blower on day 2."""
    plan = Plan((visit("ash", 1, A={"1": 120, "2": 120}), visit("ash", 2, A={"3": 60})))
    found = {(each.day, each.crew): each.rule for each in holdup(week(), plan, "C")}
    assert found == {(1, "birch"): 1, (2, "birch"): 7}


def test_a_holdup_of_a_closed_day_holds_for_all() -> None:
    first = holdup(week(), Plan((visit("ash", 0, A={"1": 120}),)), "A")[0]
    assert (first.step, first.day, first.crew, first.rule) == ("A/2", 0, None, 6)


def test_a_holdup_of_an_unknown_job_is_an_error() -> None:
    with pytest.raises(KeyError):
        holdup(week(), Plan(), "Z")


def test_changes_read_as_sentences() -> None:
    posted = [{"step": "C/1", "crew": "birch", "day": 1}, {"step": "A/2", "crew": "ash", "day": 0}]
    problem = week(posted=posted)
    sentences = [change.sentence(problem) for change in changes_of(problem, clean_plan())]
    assert sentences == [
        "A/2: 2027-03-01 ash → 2027-03-02 ash, because it cannot start on 2027-03-01",
        "C/1: 2027-03-02 birch → 2027-03-04 birch, because birch is off on 2027-03-02",
    ]


def test_a_change_says_what_it_is_for() -> None:
    """C on day 0 instead of 3 waits three days less, 1200 cents; the change costs 6000."""
    problem = week(posted=[{"step": "C/1", "crew": "birch", "day": 3}])
    better = Plan((*clean_plan().visits[:3], visit("birch", 0, C={"1": 90})))
    change = changes_of(problem, better, clean_plan())[0]
    assert (change.before, change.after) == (
        Assignment("C/1", "birch", 3),
        Assignment("C/1", "birch", 0),
    )
    assert plain(change.reason) == "the plan has an earlier end so"


def test_what_is_left_out_is_a_change() -> None:
    problem = week(posted=[{"step": "C/1", "crew": "birch", "day": 3}])
    assert "left out" in changes_of(problem, Plan())[0].sentence(problem)


def test_the_plain_rule_keeps_the_rules() -> None:
    plan = plain_plan(week())
    judgement = judge(week(), plan)
    assert judgement.clean
    assert {part.step for _, _, part in plan.parts()} == {"A/1", "A/2", "A/3", "B/1", "C/1"}


@pytest.mark.parametrize(
    ("minutes", "parts"),
    [(530, [530]), (531, [440, 91]), (910, [440, 410, 60]), (1760, [440] * 4), (1761, [])],
)
def test_the_plain_rule_divides_what_is_too_long_for_a_day(minutes: int, parts: list[int]) -> None:
    """Ash's days have 480 minutes and 90 of overtime; drive and set-up take 40, a part 60."""
    job = job_data("B", "south", [step_data("B/1", {"ash": minutes})])
    problem = week(jobs=[job])
    plan = plain_plan(problem)
    assert judge(problem, plan).clean
    assert [part.minutes for _, _, part in plan.parts()] == parts


def test_a_change_that_pays_says_how_much() -> None:
    """Without posted costs for the day the earlier end saves 12 dollars."""
    costs = week().costs.__dict__ | {"change_day": 0}
    problem = week(posted=[{"step": "C/1", "crew": "birch", "day": 3}], costs=costs)
    better = Plan((*clean_plan().visits[:3], visit("birch", 0, C={"1": 90})))
    reason = plain(changes_of(problem, better, clean_plan())[0].reason)
    assert reason == "the plan has an earlier end so; all changes together save $12"
