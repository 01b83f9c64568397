"""Why a run left a step off: what binds hardest, in the office's words."""

from collections.abc import Mapping

import pytest

from contractor.models import MemberSkill, Skill
from jobs.models import Job
from scheduling.gather.gathered import gather
from scheduling.models import PlanningRun
from scheduling.planning.edit.move import steps_put
from scheduling.planning.placing import placed_steps
from scheduling.planning.plan import Plan, plan_to_json
from scheduling.planning.problem import problem_to_json
from scheduling.runs.queries.left_off import run_left_off
from tests.people import NOW, TODAY, Company
from tests.scheduling.houses import WEEK, condition_make, day, house_make

PLANNERS = "leaving it out costs less than any day found for it"


def left_off(company: Company, *placed: tuple[str, int], closed: bool = False) -> list[str]:
    """What is said of all steps but those placed, each given as a kind and North's day."""
    gathered = gather(branch=company.fairfield, first=WEEK, weeks=1, today=TODAY)
    problem, plan = gathered.problem, Plan()
    for kind, number in placed:
        step = next(s.id for job in problem.jobs for s in job.steps if s.kind == kind)
        change = steps_put(problem, plan, [step], f"crew-{company.north.pk}", number)
        assert change.is_clean
        plan = change.plan
    steps = [step.id for job in problem.jobs for step in job.steps]
    missing = [step for step in steps if step not in placed_steps(plan)]
    run = PlanningRun(
        branch=company.fairfield,
        problem=problem_to_json(problem),
        outcome={
            "plan": plan_to_json(plan),
            "unplaced": [{"step": step, "reason": PLANNERS} for step in missing],
        },
        asked_at=NOW,
    )
    return list(run_left_off(run=run))


def house(company: Company, minutes: Mapping[str, int], unit: str = "Lot 1") -> Job:
    return house_make(company, unit, minutes)


def test_a_house_that_is_not_ready_says_what_holds_it(company: Company) -> None:
    job = house(company, {"air_seal": 60, "flat_blow": 60})
    Job.objects.update(ready_date=day(40))
    condition_make(job, ["flat_blow"])
    assert left_off(company, ("air_seal", 0)) == [
        "flat blow at Quarry Lane 1, Lot 1: chase cover: owed by builder, "
        "house said to be ready Sat Apr 10"
    ]


def test_a_step_follows_the_one_before_it_off_the_plan(company: Company) -> None:
    house(company, {"air_seal": 60, "flat_blow": 60})
    assert left_off(company)[1].endswith(": air sealing is left off, too")


def test_a_wait_that_ends_after_the_last_day(company: Company) -> None:
    house_make(company, "Lot 1", {"air_seal": 60, "flat_blow": 60}, flat_blow=3)
    (said,) = left_off(company, ("air_seal", 3))
    assert said.endswith("the time that it waits after air sealing ends after the last day")


def test_nobody_with_the_skill(company: Company) -> None:
    house(company, {"air_seal": 60, "flat_blow": 60})
    MemberSkill.objects.filter(skill=Skill.BLOW).delete()
    assert left_off(company, ("air_seal", 0))[0].endswith(": no crew has the skill")


def test_crews_that_are_full_have_no_room(company: Company) -> None:
    MemberSkill.objects.filter(member__crew=company.south).delete()
    MemberSkill.objects.filter(skill=Skill.BLOW, member__crew=company.south).delete()
    for number, kind in enumerate(("air_seal", "baffles", "batt", "net", "dense_fill")):
        house(company, {kind: 430}, f"Lot {number}")
    house(company, {"flat_blow": 200}, "Lot 9")
    days = [(kind, n) for n, kind in enumerate(("air_seal", "baffles", "batt", "net"))]
    said = left_off(company, *days, ("dense_fill", 4))
    assert said == [
        "flat blow at Quarry Lane 1, Lot 9: "
        "no room in these weeks: every crew that can do it is full"
    ]


def test_crews_without_a_machine(company: Company) -> None:
    company.blower.active = False
    company.blower.save()
    house(company, {"flat_blow": 60})
    (said,) = left_off(company)
    assert said.endswith("no room in these weeks: no blower is free when a crew is")


def test_room_that_costs_too_much(company: Company) -> None:
    house(company, {"flat_blow": 60})
    (said,) = left_off(company)
    assert said.endswith("going there in these weeks would cost more than leaving it for later")


@pytest.mark.parametrize("outcome", [None, {"unplaced": []}])
def test_a_plan_that_holds_everything_leaves_nothing_off(
    company: Company, outcome: dict[str, object] | None
) -> None:
    assert run_left_off(run=PlanningRun(branch=company.fairfield, outcome=outcome)) == ()


def test_a_clash_of_fixed_steps_keeps_the_planners_words(company: Company) -> None:
    job = house(company, {"flat_blow": 60})
    north = f"crew-{company.north.pk}"
    entry = {
        "step": job.steps.get().plan_id,
        "reason": f"it is fixed to {north} on 2027-03-02 and is left out",
        "crew": north,
        "day": 1,
    }
    run = PlanningRun(branch=company.fairfield, outcome={"plan": None, "unplaced": [entry]})
    assert run_left_off(run=run) == (
        "flat blow at Quarry Lane 1, Lot 1: it is fixed to North on Tue Mar 2 and is left out",
    )
