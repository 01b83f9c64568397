"""What steps took: on the job page and by its form; refusals, corrections, who may."""

import pytest
from django.urls import reverse

from jobs.models import Actual, Job
from jobs.rates.job_actuals import actuals_of
from tests.jobs.rates.worked import attic_job, enter, step_of
from tests.pages import HOSTILE, inline_faults, marks, status_by_role, words
from tests.people import Company, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("thursday_morning")]


@pytest.fixture
def job(company: Company) -> Job:
    return attic_job(company, "Lot 1")


def address(job: Job) -> str:
    return reverse("step-actual", args=[job.pk, step_of(job).pk])


def told(company: Company, **data: str) -> dict[str, str]:
    return {
        "crew": str(company.north.pk),
        "people": "2",
        "machine": str(company.blower.pk),
        "minutes": "200",
        "bags": "115",
        "worked_on": "2026-11-01",
        **data,
    }


def job_words(company: Company, job: Job, who: str = "omar") -> str:
    return words(signed_in(getattr(company, who)).get(reverse("job", args=[job.pk])))


def test_owner_and_office_may_enter_and_nobody_else(company: Company, job: Job) -> None:
    found = status_by_role(company, address(job))
    assert {name for name, status in found.items() if status == 200} == {"olive", "omar"}


def test_the_job_page_shows_what_is_still_to_be_entered(company: Company, job: Job) -> None:
    assert "What it took" in job_words(company, job)
    assert "Enter what it took" in job_words(company, job)
    assert "Enter what it took" not in job_words(company, job, "esme")


def test_the_page_model_tells_what_holds_of_each_step(company: Company, job: Job) -> None:
    open_before = actuals_of(job, company.esme)
    (line,) = open_before.lines
    assert (line.actual, line.ratio, line.minutes) == (None, None, line.step.crew_minutes["2"])
    assert (open_before.all_done, open_before.may_enter) == (False, False)
    enter(step_of(job), company.north, 200, machine=company.blower, bags=115)
    done = actuals_of(Job.objects.get(pk=job.pk), company.omar)
    (line,) = done.lines
    assert line.actual == Actual.objects.get()
    assert line.ratio == 200 / line.step.crew_minutes["2"]
    assert (done.all_done, done.may_enter) == (True, True)


def test_a_finished_step_stays_in_the_model_when_no_space_gives_it_any_more(
    company: Company, job: Job
) -> None:
    step = step_of(job)
    enter(step, company.north, 200, machine=company.blower, bags=115)
    job.steps.filter(pk=step.pk).update(needed=False)
    (line,) = actuals_of(Job.objects.get(pk=job.pk), company.omar).lines
    assert line.step == step
    job.steps.create(kind="baffles", position=2, crew_minutes={"1": 45}, person_minutes=45,
                     needed=False)  # fmt: skip
    assert len(actuals_of(Job.objects.get(pk=job.pk), company.omar).lines) == 1


def test_what_is_entered_stands_beside_the_estimate_with_the_ratio(
    company: Company, job: Job
) -> None:
    step = step_of(job)
    answer = signed_in(company.omar).post(address(job), told(company))
    assert answer.status_code == 302
    ratio = 200 / step.crew_minutes["2"]
    page = job_words(company, job)
    assert f"3.3 × {ratio:.2f} 112 115 North, 2 people, Blower 1" in page
    assert Actual.objects.get().entered_by == company.omar


def test_a_correction_shows_both_on_the_form_s_page(company: Company, job: Job) -> None:
    client = signed_in(company.omar)
    client.post(address(job), told(company))
    client.post(address(job), told(company, minutes="240", note=f"miscounted {HOSTILE}"))
    answer = client.get(address(job))
    page = words(answer)
    assert page.index("240") < page.rindex("200")
    assert "this one holds" in page
    assert "<script>alert" not in marks(answer)
    assert inline_faults(answer) == []
    assert Actual.objects.count() == 2


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"minutes": "0"}, "Minutes on site:"),
        ({"minutes": "long"}, "Minutes on site:"),
        ({"people": "13"}, "People:"),
        ({"bags": "-1"}, "Bags:"),
        ({"worked_on": "someday"}, "Finished on:"),
        ({"worked_on": "2999-01-01"}, "is still to come"),
        ({"crew": ""}, "Crew:"),
        ({"crew": "999999"}, "Crew:"),
        ({"machine": "999999"}, "Machine:"),
        ({"note": "n" * 201}, "Note:"),
    ],
)
def test_what_cannot_be_says_so_and_keeps_the_typing(
    company: Company, job: Job, data: dict[str, str], said: str
) -> None:
    answer = signed_in(company.omar).post(address(job), told(company, **data))
    assert answer.status_code == 400
    assert said in words(answer)
    assert not Actual.objects.exists()


def test_a_crew_of_another_yard_cannot_be_chosen(company: Company, job: Job) -> None:
    data = told(company, crew=str(company.lowton_crew.pk))
    assert signed_in(company.omar).post(address(job), data).status_code == 400
    assert signed_in(company.lena).post(address(job), told(company)).status_code == 404
    assert not Actual.objects.exists()


def test_a_step_of_another_job_is_not_there(company: Company, job: Job) -> None:
    other = attic_job(company, "Lot 2")
    mixed = reverse("step-actual", args=[other.pk, step_of(job).pk])
    assert signed_in(company.omar).get(mixed).status_code == 404


def test_hand_work_asks_for_no_machine_and_no_bags(company: Company, job: Job) -> None:
    step = job.steps.create(kind="baffles", position=2, crew_minutes={"1": 45}, person_minutes=45)
    at = reverse("step-actual", args=[job.pk, step.pk])
    page = marks(signed_in(company.omar).get(at))
    assert 'name="machine"' not in page
    assert 'name="bags"' not in page
    assert signed_in(company.omar).post(at, told(company)).status_code == 302
    actual = step.actuals.get()
    assert (actual.machine, actual.bags) == (None, None)


def test_the_form_begins_with_what_holds(company: Company, job: Job) -> None:
    enter(step_of(job), company.south, 187, people=3, bags=99)
    page = marks(signed_in(company.omar).get(address(job)))
    assert 'value="187"' in page
    assert f'<option value="{company.south.pk}" selected>' in page
