"""A yard's day as it goes: where each crew is, what is late, what to do next."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db.models import QuerySet
from django.test import Client

from contractor.files.photos import Picture
from contractor.models import Phone
from scheduling.facts.services.facts import fact_photo_keep
from scheduling.models import Fact, PlanningRun, TurnedAway, WeekVersion
from tests.pages import HOSTILE, inline_faults, marks, statements, status_by_role, words
from tests.people import ACTOR, MONDAY, Company, signed_in
from tests.scheduling.facts.facts import SEVEN, Day
from tests.scheduling.houses import house_make, visit_make
from tests.scheduling.today.today_site import (
    PAGE,
    at,
    away,
    clock_fixture,
    day_fixture,
    look,
    read,
    tell,
)

__all__ = ["clock_fixture", "day_fixture"]
pytestmark = pytest.mark.django_db


def test_who_sees_it(company: Company, day: Day) -> None:
    assert status_by_role(company, PAGE) == {
        "olive": 200,
        "omar": 200,
        "esme": 200,
        "cleo": 404,
        "saul": 404,
        "lena": 200,
        "lars": 404,
        "nobody": 302,
    }


def test_another_yard_s_day_is_not_there(company: Company, day: Day) -> None:
    lena = signed_in(company.lena)
    assert "No crew goes out on this day" in words(lena.get(PAGE))
    assert lena.get(f"{PAGE}?branch={company.fairfield.pk}").status_code == 404
    olive = signed_in(company.olive).get(f"{PAGE}?branch={company.fairfield.pk}")
    assert "North" in words(olive)
    assert f'href="?branch={company.lowton.pk}&amp;day=2027-03-01"' in marks(olive)


def test_a_day_on_which_nobody_goes_out(company: Company) -> None:
    page = read(company, "?day=2027-03-06")
    assert "No crew goes out on this day: no week is posted that sends one." in page
    assert "What to do next" not in page


@pytest.mark.parametrize("text", ["x", "2027-02-30", "2027-3-1", "0001-01-01", "9999-12-31", "%00"])
def test_what_is_no_day_says_so(company: Company, text: str) -> None:
    response = look(company, f"?day={text}")
    assert response.status_code == 422
    assert "is no day; expected one such as 2027-03-01." in words(response)


@pytest.mark.parametrize("branch", ["x", "0", "987654", "%00"])
def test_no_such_yard(company: Company, branch: str) -> None:
    assert look(company, f"?branch={branch}").status_code == 404


def test_at_seven_nothing_has_been_said(company: Company, day: Day) -> None:
    page = read(company)
    assert "Today: Monday, March 1, Fairfield yard" in page
    assert "1 crew out: 1 has said nothing yet." in page
    assert "The day starts 7:00 AM." in page
    assert "Nothing has been said yet, and nothing is overdue." in page
    assert "Has said nothing yet." in page
    assert "No phone is signed in for this crew." in page


def test_a_crew_that_should_have_set_out_is_rung(company: Company, day: Day, clock: Any) -> None:
    clock("7:31")
    response = look(company)
    page = words(response)
    assert "Not heard from North: should have set out for Quarry Lane 1, Lot 1 by 7:00 AM." in page
    assert "It may be at work without signal." in page
    assert "Ring Cleo, 515-555-0171" in page
    assert 'href="tel:515-555-0171"' in marks(response)
    assert "or later, nothing is heard" in page


def test_the_day_as_it_goes(company: Company, day: Day, clock: Any) -> None:
    tell(company, day, 2, "set_out")
    tell(company, day, 70, "arrived")
    tell(company, day, 72, "started", step="air_seal")
    clock("8:20")
    page = read(company)
    assert "1 crew out: 1 working." in page
    assert "Working at Quarry Lane 1, Lot 1 on air sealing since 8:12 AM" in page
    assert "arrived 8:10 AM, 49 min late" in page
    assert "Last heard 8:12 AM" in page
    assert "air sealing: working since 8:12 AM" in page


def test_minutes_and_bags_stand_against_the_plan(company: Company, day: Day, clock: Any) -> None:
    tell(company, day, 20, "started", step="flat_blow")
    what = {"minutes": 9, "bags": 200, "whole": False}
    tell(company, day, 60, "finished", step="flat_blow", what=what)
    clock("8:05")
    page = read(company)
    assert "flat blow finished 8:00 AM, some is left correct 9 90 200 10" in page
    assert "Is it right? North, flat blow at Quarry Lane 1, Lot 1." in page
    assert "200 bags said, 10 bags planned." in page


def test_a_crew_turned_away_comes_first_with_all_that_is_known(
    company: Company, day: Day, clock: Any
) -> None:
    fact = away(company, day)
    clock("7:45")
    response = look(company)
    page = words(response)
    assert "1. " not in page  # the number is drawn, not written
    assert "North was turned away at Quarry Lane 1, Lot 1 at 7:30 AM." in page
    assert "Turned away 7:30 AM. “the chase is open” Missing: chase cover." in page
    assert "Next: Quarry Lane 1, Lot 2, seen ready." in page
    assert "Nobody in the office has marked it as seen." in page
    photo = Fact.objects.get(kind="photo").picture.photo_id
    assert marks(response).count(f'src="/photos/{photo}/"') == 1
    run = PlanningRun.objects.create(
        branch=company.fairfield, first_monday=MONDAY, state="finished", problem={},
        asked_at=at("7:31"), ended_at=at("7:32"), outcome={},
    )  # fmt: skip
    TurnedAway.objects.filter(pk=fact.pk).update(
        run=run, seen_at=at("7:42"), seen_by=company.omar, seen_who="Omar"
    )
    response = look(company)
    page = words(response)
    assert "A plan for the rest of North's day waits for a decision." in page
    assert "Seen by Omar, 7:42 AM" in page
    assert marks(response).count(f'href="/runs/{run.pk}/"') == 2


def test_a_picture_that_has_not_come_is_said(company: Company, day: Day) -> None:
    tell(company, day, 31, "photo", what={"caption": "the attic"})
    assert "the picture has not come yet" in read(company)


def test_something_not_true_stops_the_crew(company: Company, day: Day, clock: Any) -> None:
    tell(company, day, 20, "arrived")
    tell(company, day, 21, "started", step="air_seal")
    what = {"minutes": 100, "whole": True}
    tell(company, day, 121, "finished", step="air_seal", what=what)
    answer = {"answer": "not_true", "reason": "still open"}
    tell(company, day, 122, "checked", condition=day.chase.pk, what=answer)
    clock("9:05")
    page = read(company)
    assert "North cannot start flat blow at Quarry Lane 1, Lot 1." in page
    assert "chase cover · not true · “still open”" in page
    assert "Ring Rosa Reyes, 515-555-0142" in page


def test_what_changed_nothing_says_why(company: Company, day: Day) -> None:
    fact = tell(company, day, 20, "arrived")
    # As it would have been written in the fact's transaction.
    QuerySet(Fact).filter(pk=fact.pk).update(left_out="The office waived it at 7:15.")
    page = read(company)
    assert "What North said at 7:20 AM changed nothing." in page
    assert page.count("The office waived it at 7:15.") == 2


def test_phones_say_what_they_keep_and_no_more(company: Company, day: Day, clock: Any) -> None:
    phone = Phone.objects.create(
        person=company.cleo, name="Android", made_at=at("6:00"), last_seen_at=at("9:41"),
        reported_at=at("9:40"), unsent=3, unsent_photos=1,
    )  # fmt: skip
    for kind, number in (("arrived", 20), ("started", 30)):
        tell(company, day, number, kind, **({"step": "air_seal"} if kind == "started" else {}))
    clock("9:45")
    page = read(company)
    assert "Cleo's phone: 3 taps, 1 photo not sent at 9:40 AM; last heard 9:41 AM" in page
    assert "North: 3 taps, 1 photo not sent from a phone" not in page
    clock("10:11")
    assert "North: 3 taps, 1 photo not sent from a phone." in read(company)
    Phone.objects.filter(pk=phone.pk).update(unsent=0, unsent_photos=0)
    assert "Cleo's phone: all sent at 9:40 AM; last heard 9:41 AM" in read(company)


def test_what_is_said_of_houses_off_the_posted_day(company: Company, day: Day) -> None:
    other = house_make(company, "Lot 9", {"batt": 60})
    old = WeekVersion.objects.create(
        week=WeekVersion.objects.get().week, state="replaced", created_at=SEVEN
    )
    visit_make(old, company.north, MONDAY, other, {"batt": 60})
    tell(company, day, 20, "arrived", job=other.pk)
    page = read(company)
    assert "Quarry Lane 1, Lot 9 Hazel Homes; not on this crew's posted day" in page
    assert "At Quarry Lane 1, Lot 9 since 7:20 AM, not yet at work." in page


def test_what_a_crew_without_a_posted_day_says(company: Company, day: Day) -> None:
    tell(company, day, 20, "arrived")
    WeekVersion.objects.update(state="replaced")
    page = read(company)
    assert "Said by crews without a posted day" in page
    assert "7:20 AM, North, Cleo: arrived" in page


def test_a_whole_day_leaves_nothing_to_do(company: Company, day: Day, clock: Any) -> None:
    finish = {"minutes": 100, "whole": True}
    tell(company, day, 20, "finished", step="air_seal", what=finish)
    tell(company, day, 21, "finished", step="flat_blow", what=finish | {"bags": 11})
    batts = {"minutes": 50, "whole": True}
    tell(company, day, 22, "finished", step="batt", what=batts, job=day.second.pk)
    clock("16:00")
    page = read(company)
    assert "1 crew out: 1 finished for the day." in page
    assert "Nothing: as far as is known, all goes as planned." in page


def test_a_day_gone_by_asks_for_what_was_never_said(company: Company, day: Day, clock: Any) -> None:
    tell(company, day, 20, "arrived")
    clock(SEVEN + timedelta(days=1))
    response = look(company, "?day=2027-03-01")
    page = words(response)
    assert "North never said that it finished at Quarry Lane 1, Lot 1." in page
    assert "Last heard 7:20 AM" in page
    assert "nothing was said" in page
    assert "hx-get" not in marks(response)


def test_the_day_is_the_yard_s_own(company: Company, day: Day, clock: Any) -> None:
    clock(datetime.fromisoformat("2027-03-02T05:30:00+00:00"))  # 23:30 on Monday in Chicago
    assert "Today: Monday, March 1" in read(company)


# Asked again by script.


def again(client: Client, response: Any) -> Any:
    """Ask for what the page's own script asks for."""
    text = marks(response)
    address = text.partition('hx-get="')[2].partition('"')[0].replace("&amp;", "&")
    return client.get(address, headers={"HX-Request": "true"})


def test_asked_again_where_nothing_changed_it_says_only_when(
    company: Company, day: Day, clock: Any
) -> None:
    client = signed_in(company.omar)
    first = client.get(PAGE)
    clock(SEVEN + timedelta(seconds=25))
    with statements() as asked:
        second = again(client, first)
    assert second.headers["HX-Reswap"] == "none"
    assert words(second).strip() == "As of 7:00:25 AM."
    assert 'hx-swap-oob="true"' in marks(second)
    assert len(second.content) < 200
    assert asked() <= 8


@pytest.mark.parametrize("change", ["fact", "photo", "seen", "phone", "posted", "clock"])
def test_asked_again_where_something_changed_it_says_all(
    company: Company, day: Day, clock: Any, change: str
) -> None:
    fact = away(company, day)
    phone = Phone.objects.create(person=company.cleo, made_at=SEVEN, last_seen_at=SEVEN)
    waiting = tell(company, day, 33, "photo")
    first = look(company)
    if change == "fact":
        tell(company, day, 35, "note", what={"text": "gate is shut"})
    elif change == "photo":
        fact_photo_keep(fact=waiting, picture=Picture(b"jpeg", 1, 1), actor=ACTOR, now=at("7:40"))
    elif change == "seen":
        TurnedAway.objects.filter(pk=fact.pk).update(
            seen_at=SEVEN, seen_by=company.omar, seen_who="Omar"
        )
    elif change == "phone":
        Phone.objects.filter(pk=phone.pk).update(unsent=2)
    elif change == "posted":
        WeekVersion.objects.update(state="replaced")
    else:
        clock("7:02")
    second = again(signed_in(company.omar), first)
    assert "HX-Reswap" not in second.headers
    assert '<div id="today"' in marks(second)
    assert "<html" not in marks(second)


def test_a_crew_turned_away_on_another_day_is_not_forgotten(company: Company, day: Day) -> None:
    away(company, day)
    assert "Turned away on other days" not in read(company)
    answer = look(company, "?day=2027-03-02")
    assert "Turned away on other days, not yet seen to North, Quarry Lane 1, Lot 1" in words(answer)
    there = f'href="{PAGE}?branch={company.fairfield.pk}&amp;day=2027-03-01"'
    assert there in marks(answer)
    assert "Turned away on other" not in words(
        signed_in(company.esme).get(f"{PAGE}?day=2027-03-02")
    )


def test_statements_do_not_grow_with_crews_houses_and_facts(company: Company, day: Day) -> None:
    version = WeekVersion.objects.get()
    away(company, day)
    client = signed_in(company.omar)

    def counted() -> int:
        with statements() as asked:
            assert client.get(PAGE).status_code == 200
        return asked()

    few = counted()
    for number in range(3, 9):
        crew = company.north if number % 2 else company.south
        job = house_make(company, f"Lot {number}", {"batt": 60}, site=f"Lane {number}")
        visit_make(version, crew, MONDAY, job, {"batt": 60})
        if crew == company.north:
            tell(company, day, 100 + number, "arrived", job=job.pk)
        Phone.objects.create(person=company.saul, made_at=SEVEN, last_seen_at=SEVEN)
    assert counted() == few
    assert few <= 20


def test_hostile_words_are_only_text(company: Company, day: Day) -> None:
    what = {"missing": [], "why": HOSTILE}
    tell(company, day, 30, "turned_away", what=what)
    tell(company, day, 31, "note", what={"text": HOSTILE})
    response = look(company)
    assert inline_faults(response) == []
    assert "<script>alert" not in marks(response)
