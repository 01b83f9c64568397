"""A crew turned away in the office's pages: the number in the menu, the mail's link, the run."""

import re
from datetime import timedelta
from unittest.mock import patch

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from contractor.models import OutboxMail, User
from scheduling.models import PlanningRun, TurnedAway, Week
from scheduling.turned_away.services import turned_away_see
from tests.pages import marks
from tests.people import ACTOR, Company, signed_in
from tests.scheduling.gather.test_gather_rest import Monday, clock
from tests.scheduling.houses import condition_make
from tests.scheduling.runs.test_replans import monday, send, solved

__all__ = ["monday"]
pytestmark = pytest.mark.django_db
COUNT = re.compile(r'<strong class="count" title="([^"]+)">(\d+)</strong>')


def page(person: User, address: str = "/jobs/") -> str:
    answer = signed_in(person).get(address)
    assert answer.status_code == 200
    return str(marks(answer))


def test_the_menu_says_how_many_wait_until_somebody_saw_to_them(monday: Monday) -> None:
    company = monday.company
    assert not COUNT.search(page(company.omar))
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    for person in (company.omar, company.olive):
        found = COUNT.search(page(person))
        assert found is not None
        assert found.groups() == ("1 crew was turned away", "1")
    # Not the estimator's to answer, and not of the other yard.
    assert not COUNT.search(page(company.esme))
    assert not COUNT.search(page(company.lena))
    row = TurnedAway.objects.get()
    turned_away_see(turned_away=row, actor=ACTOR, now=clock("7:40"))
    assert not COUNT.search(page(company.omar))


def test_the_number_costs_one_statement_of_the_office_and_none_of_others(monday: Monday) -> None:
    def counting(person: User) -> int:
        browser = signed_in(person)
        browser.get("/jobs/")
        with CaptureQueriesContext(connection) as seen:
            browser.get("/jobs/")
        return sum("scheduling_turnedaway" in query["sql"] for query in seen.captured_queries)

    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    assert counting(monday.company.omar) == 1
    assert counting(monday.company.esme) == 0


def test_the_link_in_the_mail_leads_to_the_plan(monday: Monday) -> None:
    fact = send(monday, "7:30", "turned_away", monday.lot, why="locked")
    (link,) = re.findall(r"http\S+/turned-away/\S+/plan/", OutboxMail.objects.get().text)
    address = link.partition("8000")[2] or link[link.index("/turned-away") :]
    answer = signed_in(monday.company.omar).get(address)
    run = PlanningRun.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, f"/runs/{run.pk}/")
    TurnedAway.objects.update(run=None)
    answer = signed_in(monday.company.omar).get(address)
    branch = monday.company.fairfield.pk
    assert answer["Location"] == f"/today/?branch={branch}&day=2027-03-01"
    assert fact in address
    assert signed_in(monday.company.lena).get(address).status_code == 404
    assert Client().get(address).status_code == 302


def test_the_run_says_why_and_what_it_counts_on(monday: Monday) -> None:
    send(monday, "7:30", "turned_away", monday.lot, why="chase is <open>")
    run = solved(PlanningRun.objects.get(), "7:30")
    text = page(monday.company.omar, f"/runs/{run.pk}/")
    assert "A plan for the rest of Monday, March 1, from 7:30 AM" in text
    said = "North was turned away from Quarry Lane 1, Lot 1 at 7:30 AM: chase is &lt;open&gt;"
    assert said in text
    assert "What it counts on" in text
    assert "North is free at 7:30 AM at Quarry Lane 1, with 7 h 30 min left of its day" in text


def test_a_proposal_that_is_overtaken_offers_the_rest_of_the_day_again(monday: Monday) -> None:
    send(monday, "7:30", "turned_away", monday.lot, why="locked")
    run = solved(PlanningRun.objects.get(), "7:30")
    Week.objects.update(revision=9)
    with time_machine.travel(clock("7:45"), tick=False), patch("scheduling.runs.bell.ring"):
        omar = signed_in(monday.company.omar)
        refused = omar.post(f"/runs/{run.pk}/accept/")
        assert refused.status_code == 409
        assert 'action="/runs/rest-of-today/' in marks(refused)
        answer = omar.post("/runs/rest-of-today/")
        again = PlanningRun.objects.order_by("pk").last()
        assert again is not None
        assert (again.rest_from, again.asked_by) == (clock("7:45"), monday.company.omar)
        assert answer["Location"] == f"/runs/{again.pk}/"
    with time_machine.travel(clock("7:45") + timedelta(days=5), tick=False):
        PlanningRun.objects.update(state="cancelled")
        # A Saturday: nothing is left of the week.
        assert omar.post("/runs/rest-of-today/").status_code == 422


def test_the_page_of_a_run_costs_no_more_with_more_crews_turned_away(monday: Monday) -> None:
    def statements(company: Company) -> int:
        browser = signed_in(company.omar)
        with CaptureQueriesContext(connection) as seen:
            browser.get(f"/runs/{run.pk}/")
        return len(seen)

    chase = condition_make(monday.lot, ["flat_blow"])
    missing = [chase.pk]
    send(monday, "7:30", "turned_away", monday.lot, missing=missing)
    run = solved(PlanningRun.objects.get(), "7:30")
    statements(monday.company)
    few = statements(monday.company)
    for minute in ("7:40", "7:50"):
        TurnedAway.objects.update(seen_at=clock(minute), seen_who="Omar")
        send(monday, minute, "turned_away", monday.lot, missing=missing)
    TurnedAway.objects.update(run=run)
    PlanningRun.objects.filter(pk=run.pk).update(verdict="open")
    assert statements(monday.company) == few
