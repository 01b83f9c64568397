"""Entering what a step took: kept for good, corrected by a further row, refused with reasons."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from contractor.models import Event
from jobs.estimates.services.estimate import job_estimate
from jobs.models import Actual, Job
from tests.jobs.rates.worked import attic_job, enter, step_of
from tests.people import ACTOR, NOW, TODAY, Company

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(company: Company) -> Job:
    return attic_job(company, "Lot 1")


def test_an_actual_keeps_the_estimate_that_it_is_held_against(company: Company, job: Job) -> None:
    step = step_of(job)
    actual = enter(step, company.north, 200, people=3, bags=110)
    assert actual.estimated_minutes == step.crew_minutes["3"]
    assert actual.estimated_bags == 112
    assert (actual.who, actual.entered_by) == ("command tests", None)


def test_a_crew_larger_than_the_table_counts_as_its_largest(company: Company, job: Job) -> None:
    step = step_of(job)
    largest = step.crew_minutes[max(step.crew_minutes, key=int)]
    assert enter(step, company.north, 200, people=9).estimated_minutes == largest


def test_a_correction_keeps_both_and_the_newest_holds(company: Company, job: Job) -> None:
    step = step_of(job)
    enter(step, company.north, 200)
    second = enter(step, company.north, 240)
    assert [a.minutes for a in step.actuals.all()] == [240, 200]
    assert list(Actual.objects.active()) == [second]
    event = Event.objects.get(noun="actual", verb="corrected")
    assert event.what["minutes"] == [200, 240]
    assert event.what["job"] == job.pk


def test_saying_the_same_again_adds_nothing(company: Company, job: Job) -> None:
    step = step_of(job)
    first = enter(step, company.north, 200)
    assert enter(step, company.north, 200) == first
    assert step.actuals.count() == 1
    assert Event.objects.filter(noun="actual").count() == 1


def test_an_actual_is_never_changed_or_removed(company: Company, job: Job) -> None:
    actual = enter(step_of(job), company.north, 200)
    actual.minutes = 1
    with pytest.raises(TypeError, match="append-only"):
        actual.save()
    with pytest.raises(TypeError, match="append-only"):
        actual.delete()
    with pytest.raises(TypeError, match="append-only"):
        Actual.objects.update(minutes=1)
    with pytest.raises(TypeError, match="append-only"):
        Actual.objects.all().delete()
    assert Actual.objects.get().minutes == 200


def test_hand_work_has_no_machine(company: Company, job: Job) -> None:
    job.spaces.create(name="vents", kind="baffles", count=10)
    step = job.steps.create(kind="baffles", position=2, crew_minutes={"1": 45}, person_minutes=45)
    assert enter(step, company.north, 60, machine=company.blower).machine is None


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"minutes": 0}, "minutes"),
        ({"minutes": 10_001}, "minutes"),
        ({"people": 0}, "people"),
        ({"people": 13}, "people"),
        ({"bags": 5_001}, "bags"),
        ({"worked_on": TODAY + timedelta(days=1)}, "worked_on"),
    ],
)
def test_what_cannot_be_is_refused_by_field(
    company: Company, job: Job, values: dict[str, object], field: str
) -> None:
    given = {"minutes": 200, **values}
    with pytest.raises(ValidationError) as error:
        enter(step_of(job), company.north, **given)  # type: ignore[arg-type]
    assert field in error.value.message_dict
    assert not Actual.objects.exists()


def test_a_crew_or_machine_of_another_yard_is_refused(company: Company, job: Job) -> None:
    with pytest.raises(ValidationError) as error:
        enter(step_of(job), company.lowton_crew, 200, machine=company.lowton_blower)
    assert set(error.value.message_dict) == {"crew", "machine"}


def test_bags_of_hand_work_are_refused(company: Company, job: Job) -> None:
    step = job.steps.create(kind="baffles", position=2, crew_minutes={"1": 45}, person_minutes=45)
    with pytest.raises(ValidationError, match="takes no bags"):
        enter(step, company.north, 60, bags=3)


def test_a_step_with_an_actual_outlives_its_space(company: Company, job: Job) -> None:
    """The estimate may lose the step; what was done stays on record."""
    enter(step_of(job), company.north, 200)
    job.spaces.all().delete()
    job.spaces.create(name="vents", kind="baffles", count=10)
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    assert step_of(job).needed is False
    assert Actual.objects.count() == 1
