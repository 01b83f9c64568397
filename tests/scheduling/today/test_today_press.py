"""What is pressed on the Today page: a crew seen turned away, a time told, a figure corrected."""

import re
from typing import Any

import pytest
from django.urls import reverse

from jobs.models import Superintendent
from scheduling.arrivals.services import window_tell
from scheduling.models import TurnedAway, WindowTold
from scheduling.progress import Window
from tests.pages import marks, words
from tests.people import ACTOR, MONDAY, Company, signed_in
from tests.scheduling.facts.facts import SEVEN, Day
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


def test_a_crew_turned_away_is_marked_as_seen_once(company: Company, day: Day, clock: Any) -> None:
    fact = away(company, day)
    address = reverse("turned-away-seen", args=[fact.pk])
    assert f'action="{address}"' in marks(look(company))
    for user, status in ((company.esme, 404), (company.lena, 404), (company.cleo, 404)):
        assert signed_in(user).post(address).status_code == status
    assert address not in marks(signed_in(company.esme).get(PAGE))
    clock("7:50")
    page = words(signed_in(company.omar).post(address, follow=True))
    assert "Marked as seen by Omar." in page
    assert "Seen by Omar, 7:50 AM." in page
    assert "North was turned away at" not in page
    clock("7:55")
    again_seen = words(signed_in(company.olive).post(address, follow=True))
    assert "Marked as seen by Omar." in again_seen
    assert TurnedAway.objects.get().seen_at == at("7:50")
    assert signed_in(company.omar).get(address).status_code == 405


def late(company: Company, day: Day, clock: Any) -> str:
    """Lot 2 was told eleven to one; the crew is two hours late at Lot 1."""
    window_tell(
        job_id=day.second.pk, day=MONDAY, window=Window(at("11:00"), at("12:00")),
        actor=ACTOR, now=SEVEN,
    )  # fmt: skip
    tell(company, day, 140, "arrived")
    clock("9:20")
    return read(company)


def pressed(company: Company, label: str) -> dict[str, str]:
    """The hidden fields of a button of the page."""
    text = marks(look(company))
    form = next(one for one in text.split("<form")[1:] if label in one.partition("</form>")[0])
    form = form.partition("</form>")[0]
    return dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form))


def test_a_time_that_will_not_be_kept_is_told_anew_by_mail(
    company: Company, day: Day, clock: Any
) -> None:
    page = late(company, day, clock)
    assert "North will not keep the time told for Quarry Lane 1, Lot 2." in page
    assert "Told 11:00 AM to 12:00 PM, expected 1:50 PM." in page
    assert "will not be kept" in page
    assert "Rosa Reyes: 11:00 AM to 12:00 PM, mailed 7:00 AM" in page
    data = pressed(company, "Mail the new time: 1:00 PM to 3:30 PM")
    page = words(signed_in(company.omar).post(reverse("today-window"), data, follow=True))
    assert "Mailed to Rosa Reyes." in page
    assert "will not keep the time" not in page
    assert "Rosa Reyes: 1:00 PM to 3:30 PM, mailed 9:20 AM" in page
    page = words(signed_in(company.omar).post(reverse("today-window"), data, follow=True))
    assert "No mail was needed." in page


def test_whom_no_mail_reaches_is_rung(company: Company, day: Day, clock: Any) -> None:
    Superintendent.objects.update(email="")
    page = read(company)
    assert "Nobody at Quarry Lane 1, Lot 2 knows when North comes." in page
    assert "Ring Rosa Reyes, 515-555-0142" in page
    assert "Mail the new time" not in page
    data = pressed(company, "I rang Rosa Reyes and told")
    page = words(signed_in(company.omar).post(reverse("today-window"), data, follow=True))
    assert "Written down: Rosa Reyes knows it." in page
    assert page.count("knows when North comes") == 1
    assert WindowTold.objects.get().mail is None


@pytest.mark.parametrize(
    "change",
    [
        {"from_at": "x"}, {"from_at": ""}, {"to_at": "0001-01-01T00:00:00+00:00"},
        {"day": "2027-02-30"}, {"day": "9999-12-31"}, {"rung": "nobody"}, {"rung": "owner"},
        {"from_at": "2027-03-01T23:00:00-06:00"}, {"day": "2027-03-03"},
        {"from_at": "2027-03-01T06:00:00-06:00", "to_at": "2027-03-01T06:30:00-06:00"},
    ],
)  # fmt: skip
def test_a_time_that_cannot_be_told_is_refused(
    company: Company, day: Day, clock: Any, change: dict[str, str]
) -> None:
    late(company, day, clock)
    data = pressed(company, "Mail the new time") | change
    response = signed_in(company.omar).post(reverse("today-window"), data, follow=True)
    assert response.status_code == 200
    assert 'class="error"' in marks(response)
    assert WindowTold.objects.count() == 1


@pytest.mark.parametrize("job", ["", "x", "0", "987654", "9" * 40])
def test_no_such_house_is_told_nothing(company: Company, day: Day, job: str) -> None:
    address = reverse("today-window")
    assert signed_in(company.omar).post(address, {"job": job}).status_code == 404
    own = {"job": str(day.lot.pk)}
    for user in (company.lena, company.esme, company.cleo):
        assert signed_in(user).post(address, own).status_code == 404


def test_an_odd_figure_leads_to_where_it_is_corrected(
    company: Company, day: Day, clock: Any
) -> None:
    what = {"minutes": 900, "bags": 10, "whole": True}
    fact = tell(company, day, 60, "finished", step="flat_blow", what=what)
    clock("8:05")
    address = reverse("fact-correct", args=[fact.pk])
    assert marks(look(company)).count(f'href="{address}"') == 2
    assert "900 min said, 90 min planned." in read(company)
    assert address not in marks(signed_in(company.esme).get(PAGE))
    data = {"minutes": "90", "bags": "10", "whole": "true", "reason": "a slip", "seen": "0"}
    assert signed_in(company.omar).post(address, data).status_code == 302
    page = read(company)
    assert "Is it right?" not in page
    assert "flat blow finished 8:00 AM correct 90 90 10 10" in page
