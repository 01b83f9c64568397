"""Why a stop stands where it does: costs add up to the judge's, alternatives are tried."""

from datetime import date

import pytest

from jobs.models import Job
from scheduling.gather.gathered import gather
from scheduling.gather.rows import rows_read
from scheduling.models import Stop
from scheduling.planning.check import judge
from scheduling.planning.edit.move import steps_put
from scheduling.weeks.queries.why import Why, narrowed, stop_why
from tests.people import TODAY, Company
from tests.scheduling.houses import WEEK, day, house_make, version_make, visit_make
from tests.scheduling.weeks.weeks import DRAFT, planned_make


def why_of(company: Company, stop: Stop, today: date = TODAY) -> Why | None:
    return stop_why(
        rows=rows_read(branch=company.fairfield, first=WEEK, weeks=1, today=today),
        job_id=stop.job_id,
        step_ids=[part.step_id for part in stop.parts.all()],
        crew_id=stop.crew_day.crew_id,
    )


@pytest.fixture
def stop(company: Company) -> Stop:
    """The only stop of the week: Monday, North, three hours."""
    version = version_make(company, DRAFT)
    job = house_make(company, "Lot 1", {"flat_blow": 180})
    return visit_make(version, company.north, day(0), job, {"flat_blow": 180})


def test_the_only_house_costs_what_the_whole_plan_costs(company: Company, stop: Stop) -> None:
    gathered = gather(branch=company.fairfield, first=WEEK, weeks=1, today=TODAY)
    whole = judge(gathered.problem, gathered.plan)
    why = why_of(company, stop)
    assert why is not None
    assert why.total == whole.total
    assert why.costs == dict(whole.costs)


def test_a_second_house_at_the_same_site_costs_no_drive(company: Company, stop: Stop) -> None:
    neighbour = house_make(company, "Lot 2", {"flat_blow": 60})
    beside = visit_make(stop.crew_day.version, company.north, day(0), neighbour, {"flat_blow": 60})
    why = why_of(company, beside)
    assert why is not None
    assert why.costs["crew_day"] == 0
    # The crew is there anyway; only the minutes of turning in are driven for it.
    assert why.costs["travel"] < why_of_alone(company, stop).costs["travel"]


def why_of_alone(company: Company, stop: Stop) -> Why:
    stop.crew_day.stops.exclude(pk=stop.pk).delete()
    why = why_of(company, stop)
    assert why is not None
    return why


def test_every_other_crew_and_day_is_tried(company: Company, stop: Stop) -> None:
    why = why_of(company, stop)
    assert why is not None
    assert [(tried.crew, tried.day, tried.cents) for tried in why.crews] == [("South", day(0), 0)]
    assert [tried.day for tried in why.days] == [day(number) for number in (1, 2, 3, 4)]
    # Each day later costs the wait of one day: $4.
    assert [tried.cents for tried in why.days] == [400, 800, 1200, 1600]


def test_what_cannot_be_says_which_rule(company: Company, stop: Stop) -> None:
    company.south.days_off.create(first_date=day(0), last_date=day(0))
    why = why_of(company, stop)
    assert why is not None
    assert why.crews[0].cents is None
    assert "South" in why.crews[0].reasons[0]
    assert "crew-" not in why.crews[0].reasons[0]


def test_nothing_is_changed_by_asking(company: Company, stop: Stop) -> None:
    why_of(company, stop)
    assert Stop.objects.get().crew_day_id == stop.crew_day_id


def test_what_is_finished_or_gone_by_is_not_weighed_up(company: Company, stop: Stop) -> None:
    assert why_of(company, stop, today=day(14)) is None
    Job.objects.update(state=Job.State.FINISHED)
    assert why_of(company, stop) is None


def test_a_job_that_is_not_planned_has_no_reason(company: Company) -> None:
    planned = planned_make(company)
    why = stop_why(
        rows=rows_read(branch=company.fairfield, first=WEEK, weeks=1, today=TODAY),
        job_id=planned.open.pk,
        step_ids=[step.pk for step in planned.open.steps.all()],
        crew_id=company.north.pk,
    )
    assert why is None


def test_the_narrow_problem_judges_as_the_whole_one_does(company: Company) -> None:
    """Two crews, one machine, divided, late and closed work: each way to put each step."""
    version = version_make(company, DRAFT)
    lots = [house_make(company, f"Lot {n}", {"air_seal": 200, "flat_blow": 150}) for n in range(4)]
    lots.append(house_make(company, "Lot 5", {"batt": 400}, promised_date=day(1)))
    work = {"air_seal": 200, "flat_blow": 150, "batt": 400}
    for number, lot in enumerate(lots):
        crew = (company.north, company.south)[number % 2]
        visit_make(version, crew, day(number), lot, work)
    company.south.days_off.create(first_date=day(0), last_date=day(0))
    gathered = gather(branch=company.fairfield, first=WEEK, weeks=1, today=TODAY)
    problem, plan = gathered.problem, gathered.plan
    clean = set()
    for job in problem.jobs:
        steps = [step.id for step in job.steps]
        for crew_id in problem.crew_by_id:
            for number in range(5):
                whole = steps_put(problem, plan, steps, crew_id, number)
                narrow = narrowed(problem, plan, steps, crew_id)
                found = steps_put(*narrow, steps, crew_id, number)
                assert {v.rule for v in found.new} == {v.rule for v in whole.new}
                if whole.is_clean:
                    changes = [c.after.total - c.before.total for c in (whole, found)]
                    assert changes[0] == changes[1]
                clean.add(whole.is_clean)
    assert clean == {True, False}
