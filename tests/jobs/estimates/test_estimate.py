"""Estimating a job: what is made of its spaces, and what stands when it is made anew."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from contractor.events import Actor
from contractor.models import Event
from jobs.estimates.services.estimate import job_estimate, warning_answer
from jobs.estimating import TakeoffError
from jobs.models import Condition, EstimateWarning, Job, Space, Step
from scheduling.models import CrewDay, Part, Stop, Week, WeekVersion
from tests.people import ACTOR, MONDAY, NOW, Company, attic_make, job_make, site_make


@pytest.fixture
def job(company: Company) -> Job:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    return job


def estimated(job: Job) -> Job:
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


def slope_make(job: Job, company: Company, **values: object) -> Space:
    fields: dict[str, object] = {
        "bays": 22,
        "length_ft": Decimal(16),
        "depth_in": Decimal("9.25"),
        "spacing_in": Decimal(16),
        "vent_in": Decimal(1),
        "cover": "net",
        **values,
    }
    return Space.objects.create(
        job=job, name="north slope", kind="slope_bays", material=company.cellulose, **fields
    )


def plan_part(step: Step, company: Company) -> Part:
    week = Week.objects.create(branch=company.fairfield, iso_year=2027, iso_week=9)
    version = WeekVersion.objects.create(week=week, state="posted", created_at=NOW, posted_at=NOW)
    crew_day = CrewDay.objects.create(version=version, crew=company.north, date=MONDAY)
    stop = Stop.objects.create(crew_day=crew_day, job=step.job, position=1)
    return Part.objects.create(stop=stop, step=step, minutes=60, step_minutes=60)


def test_an_attic_gives_a_flat_blow_with_its_bags(job: Job) -> None:
    """1500 ft2 x 392/210 lb/ft2 = 2800 lb; 112 bags of 25 lb (worked by hand)."""
    step = estimated(job).steps.get()
    assert step.kind == "flat_blow"
    assert {"item": "cellulose", "quantity": 112, "unit": "bags"} in step.loads
    assert {"item": "markers", "quantity": 5, "unit": "pieces"} in step.loads
    assert step.machine_kind == "blower"


def test_the_branchs_machine_paces_the_blow(job: Job, company: Company) -> None:
    """2800 lb at the machine's 1200 lb/h are 140 minutes of blowing (worked by hand)."""
    space = estimated(job).spaces.get()
    blow = space.estimate["steps"][0]
    assert blow["machine_minutes"] == 140
    assert blow["paced_by"] == "machine"
    assert "machine Blower 1" in str(blow)


def test_the_slowest_active_machine_is_the_usual_one(job: Job, company: Company) -> None:
    company.fairfield.machines.create(name="Old", open_lb_per_hour=600)
    company.fairfield.machines.create(name="Broken", open_lb_per_hour=100, active=False)
    blow = estimated(job).spaces.get().estimate["steps"][0]
    assert blow["machine_minutes"] == 280


def test_steps_of_one_kind_in_two_spaces_are_one_step(job: Job, company: Company) -> None:
    alone = estimated(job).steps.get().person_minutes
    attic_make(job, company.cellulose, name="garage attic", area_ft2=1500)
    step = estimated(job).steps.get()
    assert abs(step.person_minutes - 2 * alone) <= 1
    assert {"item": "cellulose", "quantity": 224, "unit": "bags"} in step.loads


def test_steps_stand_in_the_order_of_work(job: Job, company: Company) -> None:
    slope_make(job, company)
    Space.objects.create(job=job, name="plates", kind="air_seal", length_ft=220, count=38)
    Space.objects.create(job=job, name="vents", kind="baffles", count=22)
    kinds = [step.kind for step in estimated(job).steps.order_by("position")]
    assert kinds == ["air_seal", "baffles", "net", "slope_blow", "flat_blow"]


def test_a_flat_blow_waits_for_inspection_and_board_after_open_slopes(
    job: Job, company: Company
) -> None:
    slope_make(job, company)
    flat = estimated(job).steps.get(kind="flat_blow")
    assert flat.lag_days > 0
    assert "working days" in flat.lag_reason


def test_conditions_come_from_the_catalogue(job: Job) -> None:
    estimated(job)
    codes = set(job.conditions.values_list("code", flat=True))
    assert "attic_access" in codes
    assert all(c.state == "owed" for c in job.conditions.all())


def test_estimating_twice_changes_nothing(job: Job, company: Company) -> None:
    slope_make(job, company, vent_in=Decimal("0.5"))
    estimated(job)
    before = list(Step.objects.values()), list(Condition.objects.values())
    events = Event.objects.count()
    estimated(job)
    assert (list(Step.objects.values()), list(Condition.objects.values())) == before
    assert Event.objects.count() == events


def test_estimating_says_what_changed(job: Job) -> None:
    estimated(job)
    job.spaces.update(area_ft2=3000)
    estimated(job)
    what = Event.objects.filter(verb="estimated", noun_id=str(job.pk)).first()
    assert what is not None
    assert what.what["steps"]["flat_blow"][0] * 2 == pytest.approx(
        what.what["steps"]["flat_blow"][1], abs=2
    )
    assert what.branch == job.site.branch


def test_a_step_whose_kind_stays_keeps_its_row(job: Job) -> None:
    before = estimated(job).steps.get().pk
    job.spaces.update(area_ft2=900)
    assert estimated(job).steps.get().pk == before


def test_a_step_that_is_gone_is_deleted(job: Job, company: Company) -> None:
    slope_make(job, company)
    estimated(job)
    job.spaces.filter(kind="slope_bays").delete()
    assert [step.kind for step in estimated(job).steps.all()] == ["flat_blow"]


def test_a_step_that_a_week_holds_stays_and_says_so(job: Job, company: Company) -> None:
    slope = slope_make(job, company)
    part = plan_part(estimated(job).steps.get(kind="slope_blow"), company)
    slope.delete()
    estimated(job)
    part.refresh_from_db()
    assert not part.step.needed
    events = Event.objects.count()
    estimated(job)
    assert Event.objects.count() == events


def test_a_step_that_comes_back_is_needed_again(job: Job, company: Company) -> None:
    slope = slope_make(job, company)
    part = plan_part(estimated(job).steps.get(kind="slope_blow"), company)
    slope.delete()
    estimated(job)
    slope_make(job, company)
    estimated(job)
    part.refresh_from_db()
    assert part.step.needed


def test_a_condition_that_is_no_longer_needed_goes_if_nobody_moved_it(
    job: Job, company: Company
) -> None:
    slope = slope_make(job, company)
    with_slope = set(estimated(job).conditions.values_list("code", flat=True))
    slope.delete()
    without = set(estimated(job).conditions.values_list("code", flat=True))
    assert without < with_slope


def test_a_condition_that_somebody_moved_stays_and_holds_nothing(
    job: Job, company: Company
) -> None:
    slope = slope_make(job, company)
    with_slope = set(estimated(job).conditions.values_list("code", flat=True))
    Condition.objects.update(moved_at=NOW, state="seen_done")
    slope.delete()
    estimated(job)
    assert set(job.conditions.values_list("code", flat=True)) == with_slope
    left = job.conditions.filter(needed=False)
    assert left.exists()
    assert all(condition.holds == [] for condition in left)
    assert not job.conditions.exclude(state="seen_done").exists()


def overload(job: Job) -> EstimateWarning:
    """R-60 on 1/2 in board at 24 in: 2.286 lb/ft2 against 1.3 (a DOE loose-fill fact sheet)."""
    job.spaces.update(target_r=60, board_in=Decimal("0.5"), framing_in=24)
    estimated(job)
    return EstimateWarning.objects.get(code="board_load")


def test_an_overloaded_board_holds_the_blow(job: Job) -> None:
    warning = overload(job)
    assert warning.is_open
    assert warning.step_kinds == ["flat_blow"]


def test_a_warning_is_answered_by_somebody_with_words(job: Job, company: Company) -> None:
    warning = overload(job)
    omar = Actor.of_user(company.omar)
    answered = warning_answer(warning_id=warning.pk, answer="5/8 seen", actor=omar, now=NOW)
    assert not answered.is_open
    assert answered.answered_by == company.omar
    assert Event.objects.filter(verb="answered", user=company.omar).exists()


@pytest.mark.parametrize("answer", ["", "  ", "x" * 301])
def test_an_answer_without_words_or_with_too_many_is_refused(
    job: Job, company: Company, answer: str
) -> None:
    warning = overload(job)
    with pytest.raises(ValidationError, match="answer"):
        warning_answer(
            warning_id=warning.pk, answer=answer, actor=Actor.of_user(company.omar), now=NOW
        )
    warning.refresh_from_db()
    assert warning.is_open


def test_nobody_in_particular_cannot_answer(job: Job) -> None:
    with pytest.raises(ValidationError, match="person"):
        warning_answer(warning_id=overload(job).pk, answer="fine", actor=ACTOR, now=NOW)


def test_an_answer_stays_while_the_warning_says_the_same(job: Job) -> None:
    warning = overload(job)
    EstimateWarning.objects.update(answer="5/8 seen", answered_at=timezone.now())
    job.spaces.update(area_ft2=1600)
    estimated(job)
    warning.refresh_from_db()
    assert warning.answer == "5/8 seen"
    assert not warning.is_open


def test_an_answer_goes_when_the_warning_says_something_else(job: Job) -> None:
    warning = overload(job)
    EstimateWarning.objects.update(answer="5/8 seen", answered_at=timezone.now())
    job.spaces.update(target_r=49)
    estimated(job)
    warning.refresh_from_db()
    assert warning.answer == ""
    assert warning.is_open


def test_a_refused_takeoff_changes_nothing(job: Job) -> None:
    estimated(job)
    before = list(Step.objects.values())
    job.spaces.update(target_r=199)
    events = Event.objects.count()
    with pytest.raises(TakeoffError, match=r"spaces\[0\]\.target_r"):
        estimated(job)
    assert list(Step.objects.values()) == before
    assert Event.objects.count() == events


def test_a_job_without_spaces_has_no_step(company: Company) -> None:
    job = job_make(site_make(company.fairfield))
    assert not estimated(job).steps.exists()
