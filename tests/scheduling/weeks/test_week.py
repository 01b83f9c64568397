"""The week page: who sees it, what it says, posting and discarding."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from contractor.events import Actor, event_record
from contractor.models import Event, Role
from scheduling.models import WeekVersion
from tests.pages import marks
from tests.people import NOW, Company, signed_in, user_make
from tests.scheduling.houses import condition_make, day, house_make, version_make, visit_make
from tests.scheduling.weeks.weeks import (
    DRAFT,
    POSTED,
    WEEK,
    Planned,
    get,
    inline_faults,
    planned_make,
    strict,
    text_of,
)

QUERY_BUDGET = 20


@pytest.fixture(autouse=True)
def _thursday() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def drafted(company: Company) -> Planned:
    return planned_make(company)


# Who sees it.


@pytest.mark.parametrize(
    ("who", "status"),
    [("olive", 200), ("omar", 200), ("esme", 200), ("lena", 404), ("cleo", 404), ("lars", 404)],
)
def test_who_sees_the_week(drafted: Planned, who: str, status: int) -> None:
    assert get(getattr(drafted.company, who), drafted.address).status_code == status


def test_nobody_is_sent_to_sign_in(drafted: Planned, client: Client) -> None:
    answer = client.get(drafted.address)
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith("/sign-in/?next=/week/")


def test_the_menus_week_leads_to_this_week_and_the_next(drafted: Planned) -> None:
    answer = get(drafted.company.omar, "/week/")
    branch = drafted.company.fairfield.pk
    assert answer.url == f"/week/2027-W08/?branch={branch}&weeks=2"


def test_an_owner_without_a_named_branch_sees_the_first(company: Company) -> None:
    assert "Fairfield yard" in text_of(get(company.olive, f"/week/{WEEK}/"))


def test_an_owner_can_go_to_another_branch(company: Company) -> None:
    page = marks(get(company.olive, f"/week/{WEEK}/"))
    assert f"?branch={company.lowton.pk}" in page


def test_an_owner_without_any_branch_is_told_what_is_missing(db: None) -> None:
    owner = user_make("olive", Role.OWNER, None, is_staff=True)
    answer = get(owner, "/week/")
    assert answer.status_code == 200
    assert "The owner adds the first one." in text_of(answer)
    assert "/admin/contractor/branch/add/" in marks(answer)


@pytest.mark.parametrize("week", ["2027-W54", "2027-W00", "2027-9", "next"])
def test_a_week_that_is_none_is_not_there(company: Company, week: str) -> None:
    assert get(company.omar, f"/week/{week}/").status_code == 404


@pytest.mark.parametrize("query", ["weeks=7", "weeks=x", "crew=x", "branch=x", "branch=0"])
def test_a_filter_that_is_none_is_not_there(company: Company, query: str) -> None:
    assert get(company.omar, f"/week/{WEEK}/?{query}").status_code == 404


# What it says.


def test_a_draft_says_that_only_the_office_sees_it(drafted: Planned) -> None:
    text = text_of(get(drafted.company.omar, drafted.address))
    assert "Draft" in text
    assert "Only the office sees it" in text


def test_a_posted_week_says_so(company: Company) -> None:
    planned = planned_make(company, POSTED)
    text = text_of(get(company.omar, planned.address))
    assert "Week 9: Mar 1 to Mar 5, 2027 Posted" in text
    assert "Draft" not in text


def test_a_draft_of_a_posted_week_says_how_much_differs(company: Company) -> None:
    planned = planned_make(company, POSTED)
    draft = version_make(company, DRAFT)
    visit_make(draft, company.south, day(1), planned.planned, {"flat_blow": 180})
    answer = get(company.omar, planned.address)
    assert "1 stop differs from the posted week" in text_of(answer)
    assert "Changed since it was posted." in text_of(answer)
    posted = text_of(get(company.omar, planned.address + "&posted=1"))
    assert "This is the posted week" in posted
    assert "Move…" not in posted


def test_a_strip_names_house_work_and_readiness(drafted: Planned) -> None:
    text = text_of(get(drafted.company.omar, drafted.address))
    assert "Quarry Lane 1, Lot 1" in text
    assert "3 h" in text
    assert "Hazel Homes" in text
    assert "drive home" in text


def test_heights_are_the_minutes(drafted: Planned) -> None:
    page = marks(get(drafted.company.omar, drafted.address))
    assert 'class="m180 tall flat_blow"' in page  # three hours of blowing
    assert 'class="day-end m480 at"' in page  # the line where eight hours end


def test_the_shelf_groups_by_what_holds_up(drafted: Planned) -> None:
    page = marks(get(drafted.company.omar, drafted.address))
    assert 'id="shelf-no_date"' in page
    assert 'id="shelf-no_room"' in page
    assert "chase cover" in page


def test_one_crew_alone(drafted: Planned) -> None:
    crew = drafted.company.south
    text = text_of(get(drafted.company.omar, f"{drafted.address}&crew={crew.pk}"))
    assert "South:" in text
    assert "North:" not in text
    assert "Show all crews" in text


def test_two_weeks_stand_below_each_other(drafted: Planned) -> None:
    text = text_of(get(drafted.company.omar, f"{drafted.address}&weeks=2"))
    assert "Week 9:" in text
    assert "Week 10:" in text


def test_an_estimator_sees_no_button_that_changes_the_plan(drafted: Planned) -> None:
    text = text_of(get(drafted.company.esme, drafted.address))
    assert "Quarry Lane 1, Lot 1" in text
    for label in ("Plan from week", "Post week", "Discard the draft", "Move…", "Place…"):
        assert label not in text
        assert label in text_of(get(drafted.company.omar, drafted.address))


def test_a_site_without_coordinates_is_asked_for(drafted: Planned) -> None:
    site = drafted.planned.site
    site.latitude = site.longitude = None
    site.save()
    assert "No coordinates for Quarry Lane 1" in text_of(get(drafted.company.omar, drafted.address))


def test_nothing_in_the_page_breaks_its_own_policy(drafted: Planned) -> None:
    assert inline_faults(get(drafted.company.omar, drafted.address)) == []


# How much it asks of the database.


def test_queries_do_not_grow_with_rows(company: Company) -> None:
    planned_make(company)
    small = _queries(company)
    version = WeekVersion.objects.get()
    for number in range(12):
        job = house_make(company, f"Unit {number}", {"flat_blow": 60}, site=f"Site {number % 5}")
        crew = (company.north, company.south)[number % 2]
        visit_make(version, crew, day(number % 5), job, {"flat_blow": 60})
    assert _queries(company) == small
    assert small <= QUERY_BUDGET


def _queries(company: Company) -> int:
    client = signed_in(company.omar)
    with CaptureQueriesContext(
        connection,
    ) as caught:
        assert client.get(f"/week/{WEEK}/?weeks=2").status_code == 200
    return len(caught)


# Posting and discarding.


def _send(planned: Planned, what: str, revision: int = 0, status: int = 200) -> str:
    client = signed_in(planned.company.omar)
    form = {"expected": f"{WEEK}={revision}", "page": WEEK}
    answer = client.post(f"/week/{WEEK}/{what}/{planned.query}", form, follow=True)
    assert answer.status_code == status
    return text_of(answer)


def test_posting_shows_the_week_to_crews(drafted: Planned) -> None:
    assert "Week 9 is posted. Crews and builders see it now." in _send(drafted, "post")
    assert [version.state for version in WeekVersion.objects.all()] == [POSTED]


def _post(planned: Planned, **form: str) -> Any:
    form = {"expected": f"{WEEK}=0", "page": WEEK, **form}
    return signed_in(planned.company.omar).post(
        f"/week/{WEEK}/post/{planned.query}", form, follow=True
    )


def test_a_house_that_is_not_ready_is_posted_only_where_somebody_says_so(drafted: Planned) -> None:
    condition_make(drafted.planned, ["flat_blow"], promised_for=day(2), state="promised")
    answer = _post(drafted)
    assert answer.status_code == 422
    text = text_of(answer)
    assert "Flat blow at Quarry Lane 1, Lot 1 cannot start on Mon Mar 1" in text
    assert "Post it all the same" in text
    assert inline_faults(answer) == []
    assert WeekVersion.objects.get().state == DRAFT
    assert "Week 9 is posted." in text_of(_post(drafted, all_the_same="on"))
    assert WeekVersion.objects.get().state == POSTED
    said = Event.objects.get(verb="posted").what["posted_all_the_same"]
    assert said == ["flat blow at Quarry Lane 1, Lot 1 cannot start on Mon Mar 1"]


def test_a_draft_that_breaks_another_rule_is_not_posted_by_anybody(drafted: Planned) -> None:
    drafted.company.north.days_off.create(first_date=day(0), last_date=day(0))
    answer = _post(drafted, all_the_same="on")
    assert answer.status_code == 422
    text = text_of(answer)
    assert "The draft breaks rules by now." in text
    assert "North is off on Mon Mar 1" in text
    assert "all the same" not in text
    assert WeekVersion.objects.get().state == DRAFT


def test_what_was_posted_without_any_doubt_says_nothing_of_it(drafted: Planned) -> None:
    _post(drafted, all_the_same="on")
    assert "posted_all_the_same" not in Event.objects.get(verb="posted").what


def test_a_week_gone_by_is_posted_without_a_judge(drafted: Planned) -> None:
    with time_machine.travel(NOW + timedelta(days=14), tick=False):
        assert "Week 9 is posted." in text_of(_post(drafted))


def test_discarding_goes_back_to_what_is_posted(drafted: Planned) -> None:
    assert "The draft of week 9 is discarded." in _send(drafted, "discard")
    assert not WeekVersion.objects.filter(state=DRAFT).exists()


@pytest.mark.parametrize("what", ["post", "discard"])
def test_a_week_that_somebody_changed_is_left_alone(drafted: Planned, what: str) -> None:
    _changed_by_olive(drafted)
    text = _send(drafted, what, revision=0, status=409)
    assert "Olive changed week 9 on Thu Feb 25, 8:55 AM" in text
    assert "Nothing was changed." in text
    assert WeekVersion.objects.get().state == DRAFT


def _changed_by_olive(planned: Planned) -> None:
    planned.week.revision = 1
    planned.week.save()
    event_record(
        actor=Actor.of_user(planned.company.olive),
        now=NOW - timedelta(minutes=5),
        verb="stop moved",
        thing=planned.week,
        branch=planned.week.branch,
    )


@pytest.mark.parametrize("expected", ["", "2027-W09", "2027-W99=1", "2027-W10=0", "2027-W09=x"])
def test_a_form_that_names_no_revision_changes_nothing(drafted: Planned, expected: str) -> None:
    client = signed_in(drafted.company.omar)
    answer = client.post(f"/week/{WEEK}/post/{drafted.query}", {"expected": expected}, follow=True)
    assert answer.status_code == 422
    assert "did not say which week" in text_of(answer)
    assert WeekVersion.objects.get().state == DRAFT


@pytest.mark.parametrize("what", ["post", "discard", "plan"])
@pytest.mark.parametrize(
    ("who", "status"), [("lena", 404), ("esme", 404), ("cleo", 404), ("lars", 404)]
)
def test_who_may_not_change_the_week(drafted: Planned, what: str, who: str, status: int) -> None:
    user = getattr(drafted.company, who)
    answer = signed_in(user).post(f"/week/{WEEK}/{what}/{drafted.query}", {})
    assert answer.status_code == status
    assert WeekVersion.objects.get().state == DRAFT


@pytest.mark.parametrize("what", ["post", "discard", "plan"])
def test_changes_need_post_and_the_forms_token(drafted: Planned, what: str) -> None:
    address = f"/week/{WEEK}/{what}/{drafted.query}"
    assert get(drafted.company.omar, address).status_code == 405
    assert strict(drafted.company.omar).post(address, {}).status_code == 403
