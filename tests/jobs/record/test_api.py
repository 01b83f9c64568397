"""The API of records and findings: what is read, what is written, what is refused."""

import json
from typing import Any

import pytest

from contractor.models import Event, User
from jobs.models import Finding, Job
from tests.jobs.record.test_records import house, move, promised_and_done
from tests.pages import Reply
from tests.people import Company, signed_in

# The API reads the clock: a Monday that is past whenever this runs.
PAST = "2026-11-02"


@pytest.fixture
def job(company: Company) -> Job:
    return house(company)


def post(person: User, body: dict[str, Any]) -> Reply:
    response: Reply = signed_in(person).post(
        "/api/findings", json.dumps(body), content_type="application/json"
    )
    return response


def visit(job: Job, **other: Any) -> dict[str, Any]:
    kinds = sorted({step.kind for step in job.steps.all()})
    return {
        "job": job.pk,
        "day": PAST,
        "step_kinds": kinds[:1],
        "could_start": True,
        **other,
    }


def test_a_visit_is_written_down_and_read_again(job: Job, company: Company) -> None:
    made = post(company.omar, visit(job, note="dry and empty"))
    assert made.status_code == 201, made.content
    finding = Finding.objects.get()
    listed = signed_in(company.esme).get("/api/findings").json()["results"]
    assert [one["id"] for one in listed] == [finding.pk]
    assert (listed[0]["note"], listed[0]["could_start"]) == ("dry and empty", True)
    assert Event.objects.filter(verb="found", user=company.omar).count() == 1


def test_what_was_missing_goes_back_to_owed(job: Job, company: Company) -> None:
    move(job, "attic_access", "reported_done")
    condition = job.conditions.get(code="attic_access")
    made = post(
        company.omar,
        visit(job, could_start=False, missing=[condition.pk], step_kinds=condition.holds[:1]),
    )
    assert made.status_code == 201, made.content
    condition.refresh_from_db()
    assert condition.state == "owed"


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"could_start": False}, "say what was missing"),
        ({"day": "2031-01-01"}, "still to come"),
        ({"step_kinds": ["roofing"]}, "Steps"),
        ({"missing": ["x"]}, "integer"),
        ({"step_kinds": []}, "empty"),
    ],
)
def test_wrong_input_names_the_place_and_changes_nothing(
    job: Job, company: Company, wrong: dict[str, Any], words: str
) -> None:
    refused = post(company.omar, visit(job, **wrong))
    assert refused.status_code == 400
    assert words in refused.content.decode()
    assert not Finding.objects.exists()


def test_only_the_office_of_the_yard_writes(job: Job, company: Company) -> None:
    assert post(company.lena, visit(job)).status_code == 404
    assert post(company.esme, visit(job)).status_code in {403, 404}
    assert not Finding.objects.exists()


def test_a_builders_record_says_its_chances_and_what_they_rest_on(company: Company) -> None:
    for number, slip in enumerate([0] * 7 + [2, 2, 1], start=1):
        promised_and_done(company, number, slip)
    builder = Job.objects.all()[0].site.builder
    record = signed_in(company.omar).get(f"/api/builders/{builder.pk}").json()
    assert record["name"] == builder.name
    assert record["promises"].startswith("kept 7 of 10")
    chances = record["promise_chances"]
    assert chances == sorted(chances)
    assert 0.5 < chances[0] < chances[-1] <= 1
