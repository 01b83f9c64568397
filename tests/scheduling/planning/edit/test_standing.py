"""What stands of a plan after facts have changed."""

from __future__ import annotations

import random

from scheduling.planning.check import judge
from scheduling.planning.edit.standing import standing_part, without_steps
from scheduling.planning.plan import Part, Plan, Stop, Visit
from tests.scheduling.planning.weeks import clean_plan, plain, visit, week, week_data


def dropped_steps(plan: Plan, **changes: object) -> tuple[Plan, list[str]]:
    kept, dropped = standing_part(week(**changes), plan)
    return kept, [entry.step for entry in dropped]


def test_a_clean_plan_stands() -> None:
    assert standing_part(week(), clean_plan()) == (clean_plan(), [])


def test_a_crew_off_sick_loses_its_day_and_what_depends_on_it() -> None:
    crews = week_data()["crews"]
    crews[0]["minutes"] = [480, 0, 480, 480]
    kept, steps = dropped_steps(clean_plan(), crews=crews)
    assert set(steps) == {"A/1", "A/2", "A/3", "B/1"}
    assert kept == Plan((visit("birch", 3, C={"1": 90}),))


def test_a_full_day_loses_one_stop_not_all() -> None:
    crews = week_data()["crews"]
    crews[0]["overtime"] = [90, 0, 90, 90]
    crews[0]["minutes"] = [480, 470, 480, 480]
    kept, dropped = standing_part(week(crews=crews), clean_plan())
    assert [entry.step for entry in dropped] == ["B/1"]
    assert dropped[0].rule == 2
    assert plain(dropped[0].reason) == ("ash needs 475 minutes on 2027-03-02, 470 minutes at most")
    assert len(list(kept.parts())) == 4


def test_a_closed_day_drops_the_step_and_those_after_it() -> None:
    jobs = week_data()["jobs"]
    jobs[0]["steps"][1]["risk"] = [1.0, 1.0, 0.0, 0.0]
    kept, dropped = standing_part(week(jobs=jobs), clean_plan())
    assert [(entry.step, entry.rule) for entry in dropped] == [("A/2", 6), ("A/3", 6)]
    assert "A/1" in {part.step for _, _, part in kept.parts()}


def test_one_machine_too_few_drops_the_smaller_loss() -> None:
    plan = Plan((visit("ash", 2, A={"1": 120, "2": 120}), visit("birch", 2, C={"1": 90})))
    machines = [{"kind": "blower", "available": [0, 0, 1, 0]}]
    kept, steps = dropped_steps(plan, machines=machines)
    assert len(steps) == 1
    assert judge(week(machines=machines), kept).clean


def test_names_that_are_gone_are_dropped() -> None:
    plan = Plan((*clean_plan().visits, visit("elm", 0, Z={"1": 30})))
    kept, steps = dropped_steps(plan)
    assert (kept, steps) == (clean_plan(), ["Z/1"])


def test_a_lock_that_the_plan_does_not_hold_is_listed() -> None:
    fixed = [{"step": "C/1", "crew": "birch", "day": 2}]
    kept, dropped = standing_part(week(fixed=fixed), clean_plan())
    assert [(entry.step, entry.rule) for entry in dropped] == [("C/1", 8), ("C/1", 8)]
    assert "C/1" not in {part.step for _, _, part in kept.parts()}


def test_stops_and_crew_days_left_empty_go() -> None:
    assert without_steps(clean_plan(), ["A/3", "C/1"]).visits == clean_plan().visits[:2]
    hollow = Plan((Visit("ash", 0, (Stop("A", ()), Stop("B", (Part("B/1", 1),)))),))
    assert len(without_steps(hollow, ()).visits[0].stops) == 1


def test_whatever_is_shuffled_the_rest_is_clean() -> None:
    """Random nonsense over the small week's names: what stands is always clean."""
    draw = random.Random(4)
    sizes = set()
    for _ in range(60):
        visits = []
        for _ in range(draw.randint(1, 7)):
            steps = draw.sample([("A", "1"), ("A", "2"), ("A", "3"), ("B", "1"), ("C", "1")], 2)
            stops = {job: {number: draw.choice([60, 90, 120])} for job, number in steps}
            visits.append(visit(draw.choice(["ash", "birch"]), draw.randint(0, 4), **stops))
        kept, _ = standing_part(week(), Plan(tuple(visits)))
        assert judge(week(), kept).clean
        sizes.add(len(list(kept.parts())))
    assert len(sizes) > 1
