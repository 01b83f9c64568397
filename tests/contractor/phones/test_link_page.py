"""The page of a phone link: reading changes nothing, one press signs in, all else is silence."""

from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from contractor.models import Event, Phone, PhoneLink
from contractor.phones.services import phone_link_revoke
from tests.contractor.phones.world import (
    address_of,
    browser_make,
    phone_in,
    press,
    seal_of,
    secret_of,
)
from tests.pages import marks
from tests.people import ACTOR, Company, signed_in
from tests.trust.faults.harness import state_digest

pytestmark = pytest.mark.django_db
GONE = "This link opens nothing"


def text_of(response) -> str:  # type: ignore[no-untyped-def]
    return marks(response)


def test_reading_changes_nothing_however_often(company: Company) -> None:
    secret = secret_of(company.cleo)
    before = state_digest()
    scanner = Client()
    for call in (scanner.get, scanner.head, scanner.get, Client().get):
        response = call(address_of(secret))
        assert response.status_code == 200
        assert "sessionid" not in response.cookies
    assert state_digest() == before


def test_the_page_says_whose_phone_it_will_be(company: Company) -> None:
    company.cleo.last_name = "Brook"
    company.cleo.save()
    said = text_of(browser_make().get(address_of(secret_of(company.cleo))))
    assert "This will be the phone of Cleo Brook" in said
    assert "Crew: North" in said
    assert said.count("<button") == 1
    assert said.count("<script") == said.count("leave.js") == 1
    assert "style=" not in said


def test_it_speaks_the_language_of_the_person_or_the_one_asked_for(company: Company) -> None:
    company.cleo.language = "es"
    company.cleo.save()
    browser, secret = browser_make(), secret_of(company.cleo)
    spanish = browser.get(address_of(secret), headers={"Accept-Language": "en"})
    assert '<html lang="es">' in text_of(spanish)
    assert "Este será el teléfono de Cleo" in text_of(spanish)
    assert '<html lang="en">' in text_of(browser.get(address_of(secret) + "?lang=en"))
    assert '<html lang="es">' in text_of(browser.get(address_of(secret) + "?lang=xx"))


def test_one_press_signs_in_and_leads_to_the_day(company: Company) -> None:
    browser, secret = browser_make(), secret_of(company.cleo)
    response = press(browser, secret)
    assert (response.status_code, response.headers["Location"]) == (302, "/")
    phone = Phone.objects.get()
    assert (phone.person, phone.name) == (company.cleo, "Android, Chrome")
    assert browser.get(reverse("crew-days")).status_code == 200
    event = Event.objects.get(noun="phone")
    assert (event.verb, event.user, event.source) == ("signed in", company.cleo, "link")
    assert event.branch == company.fairfield


def test_neither_page_nor_answer_is_kept_or_told_on(company: Company) -> None:
    browser, secret = browser_make(), secret_of(company.cleo)
    answers = [browser.get(address_of(secret)), press(browser, secret), Client().get("/phone/x/")]
    for answer in answers:
        assert answer.headers["Cache-Control"] == "no-store"
        assert answer.headers["Referrer-Policy"] == "no-referrer"
        assert "noindex" in answer.headers["X-Robots-Tag"]


def test_another_site_cannot_press_the_button(company: Company) -> None:
    secret, browser = secret_of(company.cleo), browser_make()
    page = browser.get(address_of(secret))
    for seal in ("", "0" * 64, "ñ"):
        refused = browser.post(address_of(secret), {"seal": seal})
        assert refused.status_code == 403
        assert "once more" in text_of(refused)
    elsewhere = browser_make().post(address_of(secret), {"seal": seal_of(page)})
    assert elsewhere.status_code == 403
    assert not Phone.objects.exists()
    other = secret_of(company.saul)
    assert browser.post(address_of(other), {"seal": seal_of(page)}).status_code == 403


def test_a_browser_that_names_no_origin_gets_in(company: Company) -> None:
    """What a browser sends from a page under `no-referrer`: Origin: null, no Referer."""
    browser, secret = browser_make(), secret_of(company.cleo)
    seal = seal_of(browser.get(address_of(secret), secure=True))
    answer = browser.post(
        address_of(secret), {"seal": seal}, secure=True, headers={"Origin": "null"}
    )
    assert answer.status_code == 302


def test_wrong_used_old_and_withdrawn_links_are_one_page(company: Company) -> None:
    used, withdrawn, old = (secret_of(one) for one in (company.cleo, company.saul, company.lars))
    press(browser_make(), used)
    link = PhoneLink.objects.get(person=company.saul)
    phone_link_revoke(link_id=link.pk, actor=ACTOR, now=timezone.now())
    PhoneLink.objects.filter(person=company.lars).update(
        made_at=timezone.now() - timedelta(hours=25), expires_at=timezone.now()
    )
    pages = set()
    for secret in (used, withdrawn, old, "m" * 43, "x", "ñ", "%00", "' OR 1=1 --"):
        for answer in (Client().get(address_of(secret)), Client().post(address_of(secret))):
            assert answer.status_code == 404
            pages.add(answer.content)
    (page,) = pages
    assert GONE in page.decode()
    assert "Este enlace no abre nada" in page.decode()
    assert Phone.objects.count() == 1


def test_two_taps_and_a_lost_answer_make_one_phone_and_let_it_in(company: Company) -> None:
    browser, secret = browser_make(), secret_of(company.cleo)
    seal = seal_of(browser.get(address_of(secret)))
    word = browser.cookies["phone_tap"].value
    assert browser.post(address_of(secret), {"seal": seal}).status_code == 302
    lost = browser_make()  # the same browser, as it is where that answer never came
    lost.cookies["phone_tap"] = word
    assert lost.post(address_of(secret), {"seal": seal}).status_code == 302
    assert lost.get(reverse("crew-days")).status_code == 200
    again = browser_make()
    again.cookies["phone_tap"] = word
    assert again.get(address_of(secret)).status_code == 200  # opened anew instead of sent anew
    assert Phone.objects.count() == 1
    assert Event.objects.filter(verb="signed in").count() == 1


def test_the_link_of_this_phone_leads_on_to_the_day(company: Company) -> None:
    browser, secret = browser_make(), secret_of(company.cleo)
    press(browser, secret)
    for answer in (browser.get(address_of(secret)), browser.post(address_of(secret))):
        assert (answer.status_code, answer.headers["Location"]) == (302, "/")
    with time_machine.travel(timezone.now() + timedelta(days=30)):
        assert browser.get(address_of(secret)).status_code == 302
    assert Phone.objects.count() == 1


def test_who_else_is_signed_in_here_is_said_first_and_ended(company: Company) -> None:
    browser = browser_make()
    first = phone_in(browser, company.saul)
    Phone.objects.update(unsent=4, unsent_photos=2)
    secret = secret_of(company.cleo)
    said = text_of(browser.get(address_of(secret)))
    warning, heading = said.index("Saul is signed in on this phone now"), said.index("<h1>")
    assert warning < heading
    assert "taps 4, photos 2" in said
    assert browser.get(reverse("crew-days")).wsgi_request.user == company.saul
    press(browser, secret)
    first.refresh_from_db()
    assert first.revoked_at is not None
    assert browser.get(reverse("crew-days")).wsgi_request.user == company.cleo


def test_who_signed_in_by_password_is_said_too_and_left_nothing(company: Company) -> None:
    browser = signed_in(company.omar)
    browser.session["left"] = "over"
    secret = secret_of(company.cleo)
    assert "Omar is signed in on this phone now" in text_of(browser.get(address_of(secret)))
    press(browser, secret)
    assert "left" not in browser.session
    assert browser.get(reverse("week")).status_code == 404


def test_a_second_link_of_the_same_person_ends_the_phone_before(company: Company) -> None:
    browser = browser_make()
    first = phone_in(browser, company.cleo)
    secret = secret_of(company.cleo)
    assert "You are signed in here as Cleo already" in text_of(browser.get(address_of(secret)))
    press(browser, secret)
    first.refresh_from_db()
    assert first.revoked_at is not None
    assert Phone.objects.live(timezone.now()).count() == 1


@pytest.mark.parametrize("agent", ["", "x", "\x00<script>", "Android" * 900, "ñ🏠"])
def test_an_odd_browser_gets_in_all_the_same(company: Company, agent: str) -> None:
    browser = Client(headers={"User-Agent": agent})
    assert press(browser, secret_of(company.cleo)).status_code == 302
    assert len(Phone.objects.get().name) <= 80


@pytest.mark.parametrize("cookie", ["", "x" * 5000, "ñ", "\x01"])
def test_an_odd_word_of_a_browser_opens_nothing_by_itself(company: Company, cookie: str) -> None:
    secret = secret_of(company.cleo)
    press(browser_make(), secret)
    browser = browser_make()
    browser.cookies["phone_tap"] = cookie
    assert browser.get(address_of(secret)).status_code == 404
    assert browser.post(address_of(secret), {"seal": "0" * 64}).status_code == 404


def test_other_methods_are_not_taken(company: Company) -> None:
    for call in (Client().put, Client().delete, Client().patch):
        assert call(address_of(secret_of(company.cleo))).status_code == 405
