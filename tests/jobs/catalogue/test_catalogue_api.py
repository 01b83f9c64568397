"""The catalogue by the API: read by the desk, changed by the office, refused as pages refuse."""

from typing import Any

import pytest
from django.test import Client

from contractor.models import Event
from jobs.conditions.seed import SEED
from jobs.models import CatalogueItem
from tests.pages import statements
from tests.people import Company, signed_in

pytestmark = pytest.mark.django_db
PROBLEM = "application/problem+json"


def patch(browser: Client, code: str, **values: Any) -> Any:
    item = CatalogueItem.objects.get(code=code)
    data = {"version": item.version, **values}
    return browser.patch(f"/api/catalogue/{item.pk}", data, content_type="application/json")


def test_the_desk_reads_and_crews_find_nothing(company: Company) -> None:
    browser = signed_in(company.esme)
    with statements() as count:
        page = browser.get("/api/catalogue?page_size=200").json()
        assert count() <= 5
    assert [one["code"] for one in page["results"]] == [entry.code for entry in SEED]
    stops = browser.get("/api/catalogue?gate=stop").json()
    assert stops["count"] == sum(entry.gate == "stop" for entry in SEED)
    assert signed_in(company.cleo).get("/api/catalogue").status_code == 404


def test_the_office_changes_an_entry(company: Company) -> None:
    answer = patch(signed_in(company.omar), "roof_dried_in", lead_days=9, holds=["batt"])
    assert answer.status_code == 200
    assert (answer.json()["lead_days"], answer.json()["version"]) == (9, 2)
    assert Event.objects.get(noun="catalogueitem").who == "Omar"


def test_an_estimator_changes_nothing(company: Company) -> None:
    answer = patch(signed_in(company.esme), "roof_dried_in", lead_days=9)
    assert answer.status_code == 404
    assert CatalogueItem.objects.get(code="roof_dried_in").lead_days == 3


@pytest.mark.parametrize(
    ("code", "values", "status", "field"),
    [
        ("lead_rule", {"gate": "warn"}, 400, "gate"),
        ("no_vermiculite", {"holds": ["batt"]}, 400, "holds"),
        ("roof_dried_in", {"holds": ["paint"]}, 400, "holds"),
        ("roof_dried_in", {"holds": "batt"}, 400, "holds"),
        ("roof_dried_in", {"lead_days": -1}, 400, "lead_days"),
        ("roof_dried_in", {"version": None}, 400, "version"),
        ("roof_dried_in", {"version": 7}, 409, ""),
    ],
)
def test_what_is_refused_is_a_problem_document(
    company: Company, code: str, values: dict[str, Any], status: int, field: str
) -> None:
    answer = patch(signed_in(company.olive), code, **values)
    assert (answer.status_code, answer.headers["Content-Type"]) == (status, PROBLEM)
    assert field in answer.json().get("errors", {"": ""})
    assert CatalogueItem.objects.get(code=code).version == 1


def test_a_change_without_a_version_is_refused(company: Company) -> None:
    item = CatalogueItem.objects.get(code="roof_dried_in")
    answer = signed_in(company.omar).patch(
        f"/api/catalogue/{item.pk}", {"lead_days": 9}, content_type="application/json"
    )
    assert answer.status_code == 400
    assert "version" in answer.json()["errors"]


def test_codes_and_retiring_are_not_changed_here(company: Company) -> None:
    item = CatalogueItem.objects.get(code="roof_dried_in")
    data = {"version": 1, "code": "other", "retired": True, "lead_days": 4}
    signed_in(company.omar).patch(
        f"/api/catalogue/{item.pk}", data, content_type="application/json"
    )
    item.refresh_from_db()
    assert (item.code, item.lead_days, item.retired) == ("roof_dried_in", 4, False)
