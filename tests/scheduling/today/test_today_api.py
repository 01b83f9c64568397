"""The API of a day as it goes: what it tells, to whom, and that it keeps to its schema."""

from datetime import timedelta
from typing import Any

import jsonschema
import pytest
from django.utils import timezone
from drf_spectacular.generators import SchemaGenerator

from contractor.models import Phone
from scheduling.facts.services.facts import facts_take
from tests.people import Company, signed_in
from tests.scheduling.facts.facts import SEVEN, Day, day_make, said
from tests.test_api import _nullable

pytestmark = pytest.mark.django_db
PATH = "/api/today"


@pytest.fixture(name="day", autouse=True)
def _day(company: Company, monkeypatch: pytest.MonkeyPatch) -> Day:
    """At nine the crew was turned away from one house and went on to the next."""
    day = day_make(company)
    monkeypatch.setattr(timezone, "now", lambda: SEVEN + timedelta(hours=2))
    away = {"missing": [day.chase.pk], "why": "the chase is open"}
    done = {"minutes": 40, "bags": None, "whole": True}
    facts = [
        said(day, 20, "arrived"),
        said(day, 30, "turned_away", what=away),
        said(day, 60, "started", job=day.second.pk, step="batt"),
        said(day, 100, "finished", job=day.second.pk, step="batt", what=done),
    ]
    now = SEVEN + timedelta(minutes=101)
    facts_take(person=company.cleo, phone=None, facts=facts, sent_at=now, now=now)
    Phone.objects.create(
        person=company.cleo, made_at=SEVEN, last_seen_at=now, reported_at=now, unsent=2
    )
    return day


def test_it_tells_what_the_page_does(company: Company, day: Day) -> None:
    told = signed_in(company.omar).get(PATH).json()
    (crew,) = told["crews"]
    first, second = crew["stops"]
    assert (told["branch"], told["day"]) == ("Fairfield yard", "2027-03-01")
    assert (crew["crew"], crew["place"], crew["job"]) == ("North", "finished", day.second.pk)
    assert (first["progress"], first["is_on_plan"]) == ("turned_away", True)
    assert first["turned_away"][0]["why"] == "the chase is open"
    assert first["turned_away"][0]["missing"] == [day.chase.pk]
    assert (second["progress"], second["steps"][0]["minutes"]) == ("finished", 40)
    assert second["late_minutes"] < 0
    assert (crew["phones"][0]["unsent"], crew["overdue"]) == (2, None)
    assert [todo["need"] for todo in told["todo"]] == ["turned_away"]


def test_who_is_told(company: Company) -> None:
    assert signed_in(company.lena).get(PATH).json()["crews"] == []
    other = f"{PATH}?branch={company.fairfield.pk}"
    assert signed_in(company.lena).get(other).status_code == 404
    assert len(signed_in(company.olive).get(other).json()["crews"]) == 1
    assert signed_in(company.cleo).get(PATH).status_code in {403, 404}


@pytest.mark.parametrize("query", ["day=x", "day=2027-02-30", "day=9999-12-31", "day=%00"])
def test_what_is_no_day_is_a_problem(company: Company, query: str) -> None:
    response = signed_in(company.omar).get(f"{PATH}?{query}")
    assert response.status_code == 400
    assert response.headers["Content-Type"] == "application/problem+json"
    assert "2027-03-01" in response.content.decode()


@pytest.mark.parametrize("query", ["branch=x", "branch=987654", "branch=%00"])
def test_no_such_yard(company: Company, query: str) -> None:
    assert signed_in(company.omar).get(f"{PATH}?{query}").status_code == 404


def test_it_keeps_to_its_schema(company: Company) -> None:
    document: Any = SchemaGenerator().get_schema(request=None, public=True)
    content = document["paths"][PATH]["get"]["responses"]["200"]["content"]
    schema = {**content["application/json"]["schema"], "components": document["components"]}
    told = signed_in(company.omar).get(PATH).json()
    jsonschema.validate(told, _nullable(schema))
