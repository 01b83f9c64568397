"""The office corrects what was said: both are kept, what is drawn from it follows."""

import re
from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contractor.events import Actor
from contractor.models import Event
from jobs.models import Actual
from scheduling.facts.services.corrections import CorrectionStale, fact_correct
from scheduling.models import Fact, FactCorrection
from tests.pages import marks
from tests.people import MONDAY, NOW, Company, signed_in
from tests.scheduling.facts.feed import TUESDAY, WEDNESDAY_NIGHT, Feed, feed_make, on

pytestmark = pytest.mark.django_db
SAID = {"bags": 700, "depths_in": [16.5, 17.0]}


@pytest.fixture
def feed(company: Company) -> Feed:
    feed = feed_make(company)
    feed.take(feed.finished(200, 95, what=SAID))
    return feed


def correct(feed: Feed, fact: Fact | None = None, **more: Any) -> FactCorrection:
    told: dict[str, Any] = {"figures": {"bags": 70}, "reason": "a nought too many"}
    return fact_correct(
        fact=fact or Fact.objects.get(),
        actor=Actor.of_user(feed.company.omar),
        now=WEDNESDAY_NIGHT + timedelta(hours=1),
        **told | more,
    )


def test_both_figures_are_kept_and_the_actual_follows(feed: Feed) -> None:
    correction = correct(feed)
    fact = Fact.objects.get()
    assert (fact.what["bags"], fact.figures["bags"]) == (700, 70)
    assert (correction.before["bags"], correction.after["bags"]) == (700, 70)
    assert correction.after["depths_in"] == [16.5, 17.0]
    assert [(a.minutes, a.bags) for a in Actual.objects.order_by("pk")] == [(95, 700), (95, 70)]
    event = Event.objects.get(verb="corrected", noun="fact")
    assert (event.user, event.what["bags"]) == (feed.company.omar, [700, 70])


def test_the_newest_correction_counts(feed: Feed) -> None:
    correct(feed)
    correct(feed, figures={"minutes": 120}, reason="from the sheet")
    assert Fact.objects.get().figures["minutes"] == 120
    newest = Actual.objects.first()
    assert newest is not None
    assert (newest.minutes, newest.bags) == (120, 70)


def test_a_step_that_is_not_done_after_all_has_no_figure(feed: Feed) -> None:
    correct(feed, figures={"whole": False}, reason="the dormer is left")
    assert not Actual.objects.active().exists()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"figures": {"minutes": 0}}, "minutes: expected a whole number, 1 to 1440."),
        ({"figures": {"depths_in": ["a"]}}, "depths_in: expected depths"),
        ({"figures": {"people": 3}}, "people: expected minutes, bags, depths_in or whole."),
        ({"reason": "  "}, "Reason: expected a few words"),
        ({"reason": "r" * 201}, "Reason: expected a few words"),
    ],
)
def test_what_cannot_be_is_refused(feed: Feed, change: dict[str, Any], words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        correct(feed, **change)
    assert not FactCorrection.objects.exists()
    assert Actual.objects.count() == 1


def test_odd_figures_that_are_right_are_kept_as_looked_at(feed: Feed) -> None:
    correct(feed, figures={}, reason="two attics, I counted")
    assert Fact.objects.get().figures["bags"] == 700
    assert Actual.objects.count() == 1
    page = signed_in(feed.company.omar).get(f"/jobs/{feed.lot.pk}/").content.decode()
    assert "found right by Omar" in page


def test_only_a_finished_step_has_figures(feed: Feed) -> None:
    feed.take(feed.say(1, "set_out"))
    with pytest.raises(ValidationError, match="finished step"):
        correct(feed, fact=Fact.objects.get(kind="set_out"))


def test_who_may_not_correct_is_refused(feed: Feed) -> None:
    with pytest.raises(PermissionError):
        fact_correct(
            fact=Fact.objects.get(),
            figures={"bags": 70},
            reason="mine",
            actor=Actor.of_user(feed.company.cleo),
            now=WEDNESDAY_NIGHT,
        )


def test_the_second_of_two_is_told(feed: Feed) -> None:
    correct(feed, seen=0)
    with pytest.raises(CorrectionStale):
        correct(feed, seen=0, figures={"bags": 71})
    assert FactCorrection.objects.count() == 1


# The page.


def address(fact: Fact) -> str:
    return f"/facts/{fact.pk}/correct/"


def form(**more: Any) -> dict[str, Any]:
    given = {"minutes": "95", "bags": "70", "depths_in": "16.5 17", "whole": "true"}
    return given | {"reason": "a nought too many", "seen": "0"} | more


def test_the_page_shows_what_was_said_and_takes_the_correction(feed: Feed) -> None:
    browser, fact = signed_in(feed.company.omar), Fact.objects.get()
    shown = browser.get(address(fact)).content.decode()
    assert "700" in shown
    assert 'value="16.5 17"' in shown
    answer = browser.post(address(fact), form())
    assert answer.status_code == 302, answer.content
    assert answer["Location"].endswith(f"/jobs/{feed.lot.pk}/#said")
    assert FactCorrection.objects.get().after["bags"] == 70
    job = browser.get(f"/jobs/{feed.lot.pk}/").content.decode()
    for words in ("What crews said", "a nought too many", "16.5 · 17", address(fact)):
        assert words in job


@pytest.mark.parametrize(
    "wrong", [{"minutes": ""}, {"depths_in": "a b"}, {"reason": ""}, {"whole": "maybe"}]
)
def test_a_wrong_form_says_so_and_changes_nothing(feed: Feed, wrong: dict[str, str]) -> None:
    answer = signed_in(feed.company.omar).post(address(Fact.objects.get()), form(**wrong))
    assert answer.status_code == 400
    assert not FactCorrection.objects.exists()


def test_the_second_of_two_pages_is_told(feed: Feed) -> None:
    browser, fact = signed_in(feed.company.omar), Fact.objects.get()
    browser.post(address(fact), form())
    answer = browser.post(address(fact), form(bags="71"))
    assert answer.status_code == 409
    assert "meanwhile" in answer.content.decode()


def test_others_do_not_see_it(feed: Feed) -> None:
    fact = Fact.objects.get()
    for person in (feed.company.cleo, feed.company.esme, feed.company.lena):
        assert signed_in(person).get(address(fact)).status_code == 404


# The API.


def post(feed: Feed, body: dict[str, Any], person: Any = None) -> Any:
    browser = signed_in(person or feed.company.omar)
    fact = Fact.objects.get()
    return browser.post(f"/api/facts/{fact.pk}/corrections", body, content_type="application/json")


def test_the_api_corrects_and_lists(feed: Feed) -> None:
    made = post(feed, {"bags": 70, "reason": "a nought too many"})
    assert made.status_code == 201, made.content
    assert made.json()["after"]["bags"] == 70
    fact = Fact.objects.get()
    read = signed_in(feed.company.omar).get(f"/api/facts/{fact.pk}").json()
    assert [one["reason"] for one in read["corrections"]] == ["a nought too many"]
    assert (read["what"]["bags"], read["figures"]["bags"]) == (700, 70)


def test_the_api_refuses_what_cannot_be(feed: Feed) -> None:
    assert post(feed, {"bags": 70}).status_code == 400
    assert post(feed, {"minutes": 10**30, "reason": "x"}).status_code == 400
    assert post(feed, {"bags": 70, "reason": "x", "seen": 3}).status_code == 409
    assert post(feed, {"bags": 70, "reason": "x"}, feed.company.cleo).status_code == 404
    assert not FactCorrection.objects.exists()


# The pages of jobs.


def test_odd_figures_are_marked_and_targets_shown(feed: Feed) -> None:
    page = marks(signed_in(feed.company.omar).get(f"/jobs/{feed.lot.pk}/"))
    assert re.search(r"Bags are \d+\.\d times the estimate\.", page)
    assert "Target of attic: 16.47 in as blown, 14 in settled" in page
    assert "All steps of this house are finished." in page


def test_a_house_with_a_step_left_does_not_say_it_is_finished(company: Company) -> None:
    feed = feed_make(company)
    feed.take(feed.finished(200, 95, what={"whole": False}))
    page = signed_in(company.omar).get(f"/jobs/{feed.lot.pk}/").content.decode()
    assert "All steps of this house are finished." not in page


def test_more_reports_ask_no_more_of_the_database(feed: Feed) -> None:
    browser = signed_in(feed.company.omar)
    browser.get(f"/jobs/{feed.lot.pk}/")

    def statements() -> int:
        with CaptureQueriesContext(
            connection,
        ) as seen:
            assert browser.get(f"/jobs/{feed.lot.pk}/").status_code == 200
        return len(seen)

    before = statements()
    for number in range(5):
        feed.take(feed.finished(300 + number, 100 + number, what={"bags": 60 + number}))
    correct(feed, fact=Fact.objects.order_by("happened_at").first())
    assert statements() == before


def test_time_lost_where_crews_were_turned_away_is_told(feed: Feed) -> None:
    """By hand: set out 7:10, turned away 7:50, on its way to the next house at 8:00: 50 min."""
    second = feed.say(60, "set_out", day=TUESDAY.isoformat(), at=on(TUESDAY, 60))
    feed.take(
        feed.say(10, "set_out", day=TUESDAY.isoformat(), at=on(TUESDAY, 10)),
        feed.say(20, "arrived", day=TUESDAY.isoformat(), at=on(TUESDAY, 20)),
        feed.say(
            50,
            "turned_away",
            day=TUESDAY.isoformat(),
            at=on(TUESDAY, 50),
            what={"missing": [], "why": "shut"},
        ),
        second,
    )
    browser = signed_in(feed.company.omar)
    words = "Turned away once, 50 min lost on site and on the road."
    assert words in browser.get(f"/builders/{feed.lot.site.builder_id}/").content.decode()
    assert words in browser.get("/rates/").content.decode()
    assert words not in signed_in(feed.company.lena).get("/rates/").content.decode()
    assert NOW.date() < MONDAY
