"""The API of calls and of the evening before: what it tells, takes and refuses, and whom."""

import json
from datetime import UTC, date, datetime, timedelta
from typing import Any

import jsonschema
import pytest
from django.utils import timezone
from drf_spectacular.generators import SchemaGenerator

from contractor.models import User
from jobs.models import CallAttempt, Job
from scheduling.models import WeekVersion
from tests.people import MONDAY, Company, signed_in
from tests.scheduling.houses import condition_make, house_make, version_make, visit_make
from tests.test_api import PROBLEM, _nullable

pytestmark = pytest.mark.django_db
EVENING = datetime(2027, 2, 26, 22, 30, tzinfo=UTC)  # Friday, 16:30 in Chicago
WORK = {"batt": 120}
PATHS = ("/api/calls", "/api/evening")


@pytest.fixture(autouse=True)
def _evening(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: EVENING)


@pytest.fixture
def house(company: Company) -> Job:
    job = house_make(company, "Lot 1", WORK, ready_date=None)
    condition_make(job, ["batt"], code="chases_capped")
    visit_make(version_make(company, WeekVersion.State.POSTED), company.north, MONDAY, job, WORK)
    return job


def post(user: User, path: str, house: Job, *answers: dict[str, Any], **more: Any) -> Any:
    body = {"job": house.pk, "answers": list(answers), **more}
    return signed_in(user).post(path, json.dumps(body), content_type="application/json")


def done(job: Job) -> dict[str, Any]:
    row = job.conditions.get()
    return {"condition": row.pk, "version": row.version, "answer": "done"}


def test_both_tell_the_same_stake(company: Company, house: Job) -> None:
    client = signed_in(company.omar)
    call = client.get("/api/calls").json()["calls"][0]
    assert (call["superintendent"], call["phone"], call["seen"]) == (
        "Rosa Reyes",
        "515-555-0142",
        0,
    )
    visit = call["houses"][0]["visits"][0]
    assert (visit["crew"], visit["day"], visit["days_left"]) == ("North", "2027-03-01", 1)
    evening = client.get("/api/evening").json()
    assert (evening["day"], evening["is_time"]) == ("2027-03-01", True)
    day = evening["crew_days"][0]
    assert day["stops"][0]["visit"] == visit
    assert day["at_risk_cents"] == call["at_risk_cents"] == visit["at_risk_cents"] > 0
    assert day["is_under_threshold"]
    asked = day["stops"][0]["asks"][0]
    assert (asked["name"], asked["state"], asked["line"]) == ("chase cover", "owed", "hatched")


def test_answers_keep_the_schema_that_the_api_publishes(company: Company, house: Job) -> None:
    schema = json.loads(json.dumps(SchemaGenerator().get_schema(public=True)))
    house_make(company, "Lot 2", WORK, ready_date=None)
    for path in PATHS:
        form = schema["paths"][path]["get"]["responses"]["200"]["content"]
        whole = {
            **form["application/json"]["schema"],
            "components": _nullable(schema["components"]),
        }
        jsonschema.validate(signed_in(company.omar).get(path).json(), whole)
        form = schema["paths"][path]["post"]["responses"]["200"]["content"]
        whole = {**whole, **form["application/json"]["schema"]}
        seen = CallAttempt.objects.count()
        answer = post(company.omar, path, house, seen=seen)
        assert answer.status_code == 200
        jsonschema.validate(answer.json(), whole)


def test_an_answer_is_priced_before_and_after(company: Company, house: Job) -> None:
    answer = post(company.omar, "/api/evening", house, done(house)).json()
    [one] = answer["repriced"]
    assert one["crew"] == "North"
    assert one["cents"][0] > one["cents"][1]
    assert one["chance"][0] < one["chance"][1]
    assert not one["is_under_threshold"]


def test_a_call_is_written_down(company: Company, house: Job) -> None:
    answer = post(company.omar, "/api/calls", house).json()
    assert (answer["number"], answer["outcome"], answer["tries"]) == (1, "no_answer", 1)
    assert datetime.fromisoformat(answer["rest_until"]) == EVENING + timedelta(hours=2)
    later = {**done(house), "answer": "on", "day": "2027-03-01"}
    assert post(company.omar, "/api/calls", house, later, seen=1).json()["number"] == 2
    assert house.conditions.get().promised_for == date(2027, 3, 1)


@pytest.mark.parametrize("path", PATHS)
def test_what_is_wrong_changes_nothing(company: Company, house: Job, path: str) -> None:
    good = done(house)
    cases: list[tuple[list[dict[str, Any]], dict[str, Any], int]] = [
        ([{**good, "answer": "on"}], {}, 400),
        ([{**good, "answer": "not_theirs", "note": " "}], {}, 400),
        ([{**good, "answer": "on", "day": "2027-01-01"}], {}, 409),
        ([{**good, "version": 9}], {}, 409),
        ([{**good, "condition": 987654}], {}, 404),
        ([good], {"job": 987654}, 404),
        ([good], {"job": "x"}, 400),
        ([{**good, "condition": 10**30}], {}, 400),
        ([{**good, "note": "x" * 201}], {}, 400),
    ]
    for answers, more, status in cases:
        answer = post(company.omar, path, house, *answers, **more)
        assert (answer.status_code, answer.headers["Content-Type"]) == (status, PROBLEM), answers
    assert post(company.omar, path, house, good).status_code == 200
    assert post(company.omar, path, house, good).status_code == 409
    assert post(company.omar, path, house).status_code == 409
    assert CallAttempt.objects.count() == 1


@pytest.mark.parametrize("path", PATHS)
def test_who_may(company: Company, house: Job, path: str) -> None:
    assert "Lot 1" in signed_in(company.esme).get(path).content.decode()
    assert "Lot 1" not in signed_in(company.lena).get(path).content.decode()
    assert signed_in(company.cleo).get(path).status_code == 404
    for user in (company.esme, company.lena, company.cleo):
        assert post(user, path, house, done(house)).status_code == 404
    assert not CallAttempt.objects.exists()


def test_an_owner_names_the_yard(company: Company, house: Job) -> None:
    client = signed_in(company.olive)
    assert client.get("/api/evening").json()["branch"] == "Fairfield yard"
    there = client.get(f"/api/evening?branch={company.lowton.pk}").json()
    assert (there["branch"], there["crew_days"]) == ("Lowton yard", [])
    assert client.get("/api/evening?branch=x").status_code == 404
    omar = signed_in(company.omar)
    assert omar.get(f"/api/evening?branch={company.lowton.pk}").status_code == 404
