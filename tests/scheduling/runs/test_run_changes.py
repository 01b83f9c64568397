"""What a proposal would change: one sentence for all steps of a house that go the same way."""

from contractor.models import Crew
from jobs.models import Job
from scheduling.gather.gathered import gather
from scheduling.models import PlanningRun, WeekVersion
from scheduling.planning.plan import plan_to_json
from scheduling.planning.problem import problem_to_json
from scheduling.runs.queries.runs import run_page
from tests.people import NOW, TODAY, Company
from tests.scheduling.houses import WEEK, day, house_make, version_make, visit_make

WORK = {"air_seal": 60, "baffles": 40, "flat_blow": 90}


def proposal(company: Company, *visits: tuple[Job, Crew, int]) -> PlanningRun:
    """A run whose plan has exactly these visits, of all the work that the job has."""
    draft = version_make(company, WeekVersion.State.DRAFT)
    for job, crew, number in visits:
        work = {step.kind: WORK[step.kind] for step in job.steps.all()}
        visit_make(draft, crew, day(number), job, work)
    gathered = gather(branch=company.fairfield, first=WEEK, weeks=1, today=TODAY)
    draft.delete()
    return PlanningRun.objects.create(
        branch=company.fairfield,
        first_monday=day(0),
        weeks=1,
        state=PlanningRun.State.FINISHED,
        problem=problem_to_json(gathered.problem),
        outcome={"plan": plan_to_json(gathered.plan), "cost": 1, "bound": 1, "gap": 0.0},
        asked_at=NOW,
        ended_at=NOW,
    )


def test_steps_of_a_house_that_move_together_are_one_change(company: Company) -> None:
    moved, gone, come, stays = (
        house_make(company, f"Lot {number}", WORK if number == 1 else {"flat_blow": 90})
        for number in range(1, 5)
    )
    posted = version_make(company, WeekVersion.State.POSTED)
    visit_make(posted, company.north, day(3), moved, WORK)
    visit_make(posted, company.north, day(1), gone, {"flat_blow": 90})
    visit_make(posted, company.south, day(2), stays, {"flat_blow": 90})
    run = proposal(
        company, (moved, company.south, 0), (come, company.north, 1), (stays, company.south, 2)
    )
    assert run_page(run=run).changes == (
        "Quarry Lane 1, Lot 1: air sealing, baffles and flat blow move "
        "from Thu Mar 4, North, to Mon Mar 1, South",
        "Quarry Lane 1, Lot 3: flat blow is new on Tue Mar 2, North",
        "Quarry Lane 1, Lot 2: flat blow comes off the plan, was on Tue Mar 2, North",
    )
