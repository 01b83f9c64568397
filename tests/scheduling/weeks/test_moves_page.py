"""Changes by hand: the judge decides, a refusal says why, and nobody overwrites anybody."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contractor.events import Actor, event_record
from contractor.models import Crew
from scheduling.models import CrewDay, Stop
from tests.pages import marks
from tests.people import NOW, Company, signed_in
from tests.scheduling.houses import day, house_make, visit_make
from tests.scheduling.weeks.weeks import (
    WEEK,
    Planned,
    get,
    inline_faults,
    planned_make,
    strict,
    text_of,
)

QUERY_BUDGET = 22
TUESDAY, SATURDAY = day(1), day(5)


@pytest.fixture(autouse=True)
def _thursday() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def planned(company: Company) -> Planned:
    return planned_make(company)


def move_address(planned: Planned, what: str = "move") -> str:
    return f"/week/{WEEK}/stop/{planned.stop.pk}/{what}/{planned.query}"


def place_address(planned: Planned, job_id: int) -> str:
    return f"/week/{WEEK}/job/{job_id}/place/{planned.query}"


def form_of(crew: Crew, on: object = TUESDAY, revision: int = 0) -> dict[str, object]:
    return {"crew": crew.pk, "day": str(on), "expected": [f"{WEEK}={revision}"]}


def send(planned: Planned, address: str, form: dict[str, object]) -> Any:
    answer: Any = signed_in(planned.company.omar).post(address, form)
    return answer


def whereabouts() -> list[tuple[str, str, str]]:
    """Every stop as (house, crew, day)."""
    stops = Stop.objects.select_related("crew_day__crew", "job__site")
    return sorted(
        (stop.job.unit, stop.crew_day.crew.name, str(stop.crew_day.date)) for stop in stops
    )


# Moving.


def test_the_form_knows_where_the_stop_is_now(planned: Planned) -> None:
    answer = get(planned.company.omar, move_address(planned))
    text = text_of(answer)
    assert "Move Quarry Lane 1, Lot 1" in text
    assert "It is now on Monday, March 1 with North:" in text
    page = marks(answer)
    assert f'<option value="{planned.company.north.pk}" selected>' in page
    assert '<option value="2027-03-01" selected>' in page
    assert f'name="expected" value="{WEEK}=0"' in page
    assert inline_faults(answer) == []


def test_a_move_that_breaks_no_rule_is_made(planned: Planned) -> None:
    south = planned.company.south
    answer = send(planned, move_address(planned), form_of(south))
    assert answer.status_code == 302
    assert answer.url == planned.address
    assert whereabouts() == [("Lot 1", "South", "2027-03-02")]
    page = get(planned.company.omar, planned.address)
    assert planned.week.__class__.objects.get(pk=planned.week.pk).revision == 1
    assert "South" in text_of(page)


def test_the_next_page_says_what_the_move_did_to_the_price(planned: Planned) -> None:
    client = signed_in(planned.company.omar)
    answer = client.post(move_address(planned), form_of(planned.company.south), follow=True)
    assert "It is now on Tuesday, March 2 with South. Cost of the plan:" in text_of(answer)


def test_a_script_is_told_where_to_go(planned: Planned) -> None:
    answer = signed_in(planned.company.omar).post(
        move_address(planned), form_of(planned.company.south), headers={"HX-Request": "true"}
    )
    assert answer.status_code == 200
    assert answer.headers["HX-Redirect"] == planned.address


def test_a_move_that_breaks_a_rule_says_which_and_changes_nothing(planned: Planned) -> None:
    company = planned.company
    full = house_make(company, "Lot 9", {"flat_blow": 430}, site="Far Field")
    visit_make(planned.stop.crew_day.version, company.south, TUESDAY, full, {"flat_blow": 430})
    before = whereabouts()
    answer = send(planned, move_address(planned), form_of(company.south))
    assert answer.status_code == 422
    text = text_of(answer)
    assert "That breaks a rule." in text
    assert "South" in text
    assert "Nothing was changed." in text
    assert whereabouts() == before


def test_a_day_on_which_the_branch_is_closed_is_refused(planned: Planned) -> None:
    answer = send(planned, move_address(planned), form_of(planned.company.south, SATURDAY))
    assert answer.status_code == 422
    assert "closed" in text_of(answer)


@pytest.mark.parametrize("wrong", [{"crew": "0"}, {"crew": "x"}, {"day": "soon"}, {"day": ""}])
def test_what_is_on_no_list_is_refused(planned: Planned, wrong: dict[str, str]) -> None:
    form = form_of(planned.company.south) | wrong
    answer = send(planned, move_address(planned), form)
    assert answer.status_code == 422
    assert "Choose a crew and a day from the lists. Nothing was changed." in text_of(answer)
    assert whereabouts() == [("Lot 1", "North", "2027-03-01")]


def test_a_crew_of_another_branch_is_on_no_list(planned: Planned) -> None:
    answer = send(planned, move_address(planned), form_of(planned.company.lowton_crew))
    assert answer.status_code == 422
    assert CrewDay.objects.count() == 1


def test_a_form_without_revisions_is_refused(planned: Planned) -> None:
    form = form_of(planned.company.south)
    del form["expected"]
    assert send(planned, move_address(planned), form).status_code == 422
    assert whereabouts() == [("Lot 1", "North", "2027-03-01")]


def test_a_week_that_somebody_changed_says_who_and_when(planned: Planned) -> None:
    planned.week.revision = 3
    planned.week.save()
    event_record(
        actor=Actor.of_user(planned.company.olive),
        now=NOW - timedelta(minutes=5),
        verb="stop moved",
        thing=planned.week,
        branch=planned.week.branch,
    )
    answer = send(planned, move_address(planned), form_of(planned.company.south, revision=2))
    assert answer.status_code == 409
    assert "Olive changed week 9 on Thu Feb 25, 8:55 AM" in text_of(answer)
    assert whereabouts() == [("Lot 1", "North", "2027-03-01")]


def test_a_stop_that_is_gone_leads_back_to_the_week(planned: Planned) -> None:
    address = move_address(planned)
    planned.stop.crew_day.delete()
    assert get(planned.company.omar, address).status_code == 404
    answer = send(planned, address, form_of(planned.company.south))
    assert answer.status_code == 404
    assert "not on the plan any more" in text_of(answer)
    assert "See the week as it is now" in text_of(answer)


# Taking off and placing.


def test_a_stop_is_taken_off_the_plan(planned: Planned) -> None:
    client = signed_in(planned.company.omar)
    form = {"expected": [f"{WEEK}=0"]}
    answer = client.post(move_address(planned, "take-off"), form, follow=True)
    # A step left off costs $1,200, less what its drive and its crew-day had cost.
    assert "It is off the plan. Cost of the plan: +$1,1" in text_of(answer)
    assert whereabouts() == []


def test_taking_off_needs_the_revisions_too(planned: Planned) -> None:
    answer = send(planned, move_address(planned, "take-off"), {})
    assert answer.status_code == 422
    assert whereabouts() == [("Lot 1", "North", "2027-03-01")]


def test_a_job_from_the_shelf_is_placed(planned: Planned) -> None:
    address = place_address(planned, planned.open.pk)
    assert "Place Quarry Lane 1, Lot 3" in text_of(get(planned.company.omar, address))
    answer = send(planned, address, form_of(planned.company.south))
    assert answer.status_code == 302
    assert ("Lot 3", "South", "2027-03-02") in whereabouts()


def test_a_job_that_is_held_up_is_not_placed(planned: Planned) -> None:
    address = place_address(planned, planned.held.pk)
    answer = send(planned, address, form_of(planned.company.south))
    assert answer.status_code == 422
    assert "chase cover" in text_of(answer)
    assert whereabouts() == [("Lot 1", "North", "2027-03-01")]


def test_a_job_that_is_planned_already_is_not_on_the_shelf(planned: Planned) -> None:
    address = place_address(planned, planned.planned.pk)
    assert get(planned.company.omar, address).status_code == 404


# How much it asks of the database.


def test_queries_of_form_and_explanation_do_not_grow(planned: Planned) -> None:
    addresses = [move_address(planned), f"/week/{WEEK}/stop/{planned.stop.pk}/{planned.query}"]
    small = [_queries(planned, address) for address in addresses]
    for number in range(8):
        job = house_make(planned.company, f"Unit {number}", {"flat_blow": 60}, site=f"S {number}")
        version = planned.stop.crew_day.version
        visit_make(version, planned.company.south, day(number % 5), job, {"flat_blow": 60})
    assert [_queries(planned, address) for address in addresses] == small
    assert small[0] <= QUERY_BUDGET


def _queries(planned: Planned, address: str) -> int:
    client = signed_in(planned.company.omar)
    with CaptureQueriesContext(connection) as caught:
        assert client.get(address).status_code == 200
    return len(caught)


# Who may.


@pytest.mark.parametrize("who", ["lena", "esme", "cleo", "lars"])
def test_who_may_not_move(planned: Planned, who: str) -> None:
    user = getattr(planned.company, who)
    client = signed_in(user)
    pages = [move_address(planned), place_address(planned, planned.open.pk)]
    for address in pages:
        assert client.get(address).status_code == 404
    for address in [*pages, move_address(planned, "take-off")]:
        assert client.post(address, form_of(planned.company.south)).status_code == 404
    assert whereabouts() == [("Lot 1", "North", "2027-03-01")]


def test_another_branch_s_stop_is_not_there(planned: Planned) -> None:
    company = planned.company
    address = f"/week/{WEEK}/stop/{planned.stop.pk}/move/?branch={company.lowton.pk}"
    assert get(company.lena, address).status_code == 404
    form = form_of(company.lowton_crew)
    assert signed_in(company.lena).post(address, form).status_code == 404
    assert whereabouts() == [("Lot 1", "North", "2027-03-01")]


def test_a_move_needs_the_forms_token(planned: Planned) -> None:
    client = strict(planned.company.omar)
    assert client.post(move_address(planned), form_of(planned.company.south)).status_code == 403


# Why a stop stands where it does.


def test_a_stop_explains_itself(planned: Planned) -> None:
    address = f"/week/{WEEK}/stop/{planned.stop.pk}/{planned.query}"
    answer = get(planned.company.omar, address)
    text = text_of(answer)
    assert "Why North?" in text
    assert "South:" in text
    assert "Why this day?" in text
    assert "Tue Mar 2:" in text
    assert "Driving" in text
    assert "Sending crews out $25.00" in text
    assert inline_faults(answer) == []


@pytest.mark.parametrize(
    ("who", "status"), [("omar", 200), ("esme", 200), ("olive", 200), ("lena", 404), ("cleo", 404)]
)
def test_who_reads_the_explanation(planned: Planned, who: str, status: int) -> None:
    address = f"/week/{WEEK}/stop/{planned.stop.pk}/{planned.query}"
    assert get(getattr(planned.company, who), address).status_code == status


def test_a_stop_that_is_not_there_explains_nothing(planned: Planned) -> None:
    assert get(planned.company.omar, f"/week/{WEEK}/stop/0/{planned.query}").status_code == 404
