"""The read-only API: who reads what, the form of its errors, and what it costs in queries."""

import json

import jsonschema
import pytest
from django.test import Client
from drf_spectacular.generators import SchemaGenerator

from jobs.models import Job, Site
from scheduling.models import CrewDay, Part, Stop, Week, WeekVersion
from tests.people import MONDAY, NOW, Company, job_make, signed_in, site_make

pytestmark = pytest.mark.django_db
PROBLEM = "application/problem+json"


def house(company: Company, unit: str = "Lot 1") -> Job:
    """A job of Fairfield yard."""
    return job_make(Site.objects.first() or site_make(company.fairfield), unit)


def week_make(company: Company, state: str) -> CrewDay:
    """One crew-day of the north crew, in a week of its own version."""
    week, _ = Week.objects.get_or_create(branch=company.fairfield, iso_year=2027, iso_week=9)
    version = WeekVersion.objects.create(
        week=week, state=state, created_at=NOW, posted_at=NOW if state == "posted" else None
    )
    crew_day = CrewDay.objects.create(version=version, crew=company.north, date=MONDAY)
    job = house(company, f"Lot {state}")
    step = job.steps.create(kind="batt", position=1, crew_minutes={"2": 100}, person_minutes=200)
    stop = Stop.objects.create(crew_day=crew_day, job=job, position=1)
    Part.objects.create(stop=stop, step=step, minutes=100, step_minutes=100)
    return crew_day


def test_nobody_is_asked_to_sign_in(client: Client) -> None:
    response = client.get("/api/jobs")
    assert response.status_code in {401, 403}
    assert response.headers["Content-Type"] == PROBLEM
    assert response.json()["status"] == response.status_code


def test_an_office_reads_its_branch_only(company: Company) -> None:
    job = house(company)
    assert [
        found["id"] for found in signed_in(company.omar).get("/api/jobs").json()["results"]
    ] == [job.pk]
    assert signed_in(company.lena).get("/api/jobs").json()["results"] == []


def test_another_branch_s_job_looks_like_none(company: Company) -> None:
    job = house(company)
    other, missing = (
        signed_in(company.lena).get(f"/api/jobs/{number}") for number in (job.pk, 999999)
    )
    assert other.status_code == missing.status_code == 404
    assert other.json() == missing.json()
    assert other.headers["Content-Type"] == PROBLEM


def test_a_crew_lead_reads_no_job_and_no_week(company: Company) -> None:
    for address in ("/api/jobs", "/api/weeks"):
        response = signed_in(company.cleo).get(address)
        assert response.status_code == 404
        assert response.headers["Content-Type"] == PROBLEM


def test_a_crew_lead_reads_posted_days_of_the_own_crew_only(company: Company) -> None:
    draft, posted = week_make(company, "draft"), week_make(company, "posted")
    found = signed_in(company.cleo).get("/api/crew-days").json()["results"]
    assert [day["id"] for day in found] == [posted.pk]
    assert found[0]["stops"][0]["parts"] == [
        {"step": posted.stops.get().parts.get().step_id, "kind": "batt", "minutes": 100}
    ]
    assert signed_in(company.cleo).get(f"/api/crew-days/{draft.pk}").status_code == 404
    assert signed_in(company.saul).get("/api/crew-days").json()["results"] == []
    assert len(signed_in(company.omar).get("/api/crew-days").json()["results"]) == 2


def test_a_week_tells_its_versions(company: Company) -> None:
    week_make(company, "posted")
    (week,) = signed_in(company.omar).get("/api/weeks?iso_week=9").json()["results"]
    assert (week["week"], [version["state"] for version in week["versions"]]) == (
        "2027-W09",
        ["posted"],
    )


def test_writing_is_refused(company: Company) -> None:
    response = signed_in(company.olive).post("/api/jobs", {}, content_type="application/json")
    assert response.status_code == 405
    assert response.headers["Content-Type"] == PROBLEM


def test_a_wrong_filter_names_the_field(company: Company) -> None:
    response = signed_in(company.omar).get("/api/jobs?state=nonsense")
    assert response.status_code == 400
    assert "state" in response.json()["errors"]


@pytest.mark.parametrize("page", ["0", "two", "99"])
def test_a_page_that_is_not_there_is_404(company: Company, page: str) -> None:
    assert signed_in(company.omar).get(f"/api/jobs?page={page}").status_code == 404


def test_queries_do_not_grow_with_rows(company: Company, django_assert_max_num_queries) -> None:  # type: ignore[no-untyped-def]
    client = signed_in(company.omar)
    house(company)
    with django_assert_max_num_queries(8):
        client.get("/api/jobs")
    for number in range(6):
        house(company, f"Unit {number}")
    with django_assert_max_num_queries(8):
        client.get("/api/jobs")


def test_answers_keep_the_schema_that_the_api_publishes(company: Company) -> None:
    week_make(company, "posted")
    schema = json.loads(json.dumps(SchemaGenerator().get_schema(public=True)))
    for address in ("/api/jobs", "/api/weeks", "/api/crew-days"):
        path = schema["paths"][address]["get"]
        form = path["responses"]["200"]["content"]["application/json"]["schema"]
        body = signed_in(company.olive).get(address).json()
        assert body["count"] == 1
        resolver = {**form, "components": _nullable(schema["components"])}
        jsonschema.validate(body, resolver)


def _nullable(node):  # type: ignore[no-untyped-def]
    """OpenAPI 3.0 writes `nullable`; JSON Schema wants the type null beside it."""
    if isinstance(node, dict):
        node = {key: _nullable(value) for key, value in node.items()}
        if node.pop("nullable", False):
            return {"anyOf": [node, {"type": "null"}]}
        node.pop("readOnly", None)
        return node
    if isinstance(node, list):
        return [_nullable(value) for value in node]
    return node
