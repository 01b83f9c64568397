"""What the crew's pages give their script, and whom they name for the worker."""

import json
import re
from typing import Any

import pytest
from django.test import Client
from django.utils import translation

from scheduling.crew_days.views.phone_words import phone_words
from scheduling.models import WeekVersion
from scheduling.progress.day import KINDS
from tests.pages import Reply
from tests.people import MONDAY, Company, signed_in
from tests.scheduling.facts.facts import Day, day_make, said, take

pytestmark = pytest.mark.django_db
LIST = "/crew-days/"


@pytest.fixture
def day(company: Company) -> Day:
    return day_make(company)


def page_of(day: Day) -> str:
    return f"{LIST}{day.crew.pk}/{MONDAY.isoformat()}/"


def data_of(response: Reply, name: str) -> Any:
    """The JSON of that name in the page; None where it has none."""
    found = re.search(rf'<script id="{name}"[^>]*>(.*?)</script>', response.content.decode())
    return json.loads(found[1]) if found else None


def test_both_pages_name_their_person_and_let_nothing_else_store_them(
    company: Company, day: Day
) -> None:
    for address in (LIST, page_of(day)):
        response = signed_in(company.cleo).get(address)
        assert response.headers["X-Person"] == str(company.cleo.pk)
        assert response.headers["Cache-Control"] == "private, no-store"
        assert data_of(response, "phone-data")["person"] == company.cleo.pk


def test_who_is_signed_out_is_named_nowhere(client: Client, day: Day) -> None:
    for address in (LIST, page_of(day)):
        response = client.get(address)
        assert response.status_code == 302
        assert "X-Person" not in response.headers


def test_a_lead_s_phone_keeps_the_list_and_the_day_the_office_s_nothing_unasked(
    company: Company, day: Day
) -> None:
    def keep(user: Any) -> list[str]:
        return list(data_of(signed_in(user).get(page_of(day)), "phone-data")["keep"])

    assert keep(company.cleo) == [LIST, page_of(day)]
    assert keep(company.omar) == []


def test_who_may_say_nothing_gets_no_script(company: Company, day: Day) -> None:
    for address in (LIST, page_of(day)):
        response = signed_in(company.esme).get(address)
        assert response.status_code == 200
        assert data_of(response, "phone-data") is None
        assert b"queue.js" not in response.content


def test_the_plan_and_the_facts_are_those_of_the_day(company: Company, day: Day) -> None:
    take(
        company,
        said(day, 1, "set_out"),
        said(day, 2, "checked", condition=day.chase.pk, what={"answer": "not_true", "reason": "x"}),
        said(day, 3, "finished", step="air_seal", what={"minutes": 90, "whole": True}),
    )
    told = data_of(signed_in(company.cleo).get(page_of(day)), "day-data")
    assert [(stop["job"], stop["steps"]) for stop in told["plan"]] == [
        (day.lot.pk, ["air_seal", "flat_blow"]),
        (day.second.pk, ["batt"]),
    ]
    assert told["plan"][0]["checks"] == [{"condition": day.chase.pk, "holds": ["flat_blow"]}]
    assert told["version"] == WeekVersion.objects.get().pk
    assert [(fact["kind"], fact["what"]) for fact in told["facts"]] == [
        ("set_out", {}),
        ("checked", {"answer": "not_true"}),
        ("finished", {"minutes": 90, "bags": None, "whole": True}),
    ]


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_script_is_given_every_word_that_it_says(
    company: Company, day: Day, language: str
) -> None:
    company.cleo.language = language
    company.cleo.save()
    words = data_of(signed_in(company.cleo).get(page_of(day)), "phone-data")["words"]
    with translation.override(language):
        assert words.items() >= phone_words().items()
    assert set(words["kinds"]) == set(KINDS)
    assert [len(words[name]) for name in ("kept", "leave", "halves")] == [2, 2, 2]
    assert words["all_sent"] == {"en": "All sent", "es": "Todo enviado"}[language]
