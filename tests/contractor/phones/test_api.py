"""Phones and links for programs: scoped like the page, a secret only in the answer that made it."""

import json
from urllib.parse import urlsplit

import pytest
from django.urls import reverse
from django.utils import timezone

from contractor.models import Phone, PhoneLink
from tests.contractor.phones.world import browser_make, phone_in, press, secret_of
from tests.pages import Reply
from tests.people import Company, signed_in

pytestmark = pytest.mark.django_db
PHONES, LINKS = "/api/phones", "/api/phone-links"


def ask(company: Company, body: object, person: str = "omar") -> Reply:
    browser = signed_in(getattr(company, person))
    return browser.post(LINKS, json.dumps(body), content_type="application/json")


def test_a_phone_is_told_with_what_it_has_not_sent(company: Company) -> None:
    phone = phone_in(browser_make(), company.cleo)
    Phone.objects.update(unsent=4, unsent_photos=2, reported_at=timezone.now())
    (told,) = signed_in(company.omar).get(PHONES).json()["results"]
    assert told["id"] == phone.pk
    assert (told["person"], told["branch"]) == (company.cleo.pk, "Fairfield yard")
    assert (told["unsent"], told["unsent_photos"], told["revoked_at"]) == (4, 2, None)
    assert signed_in(company.lena).get(PHONES).json()["results"] == []


def test_phones_are_found_by_person_and_end(company: Company) -> None:
    phone_in(browser_make(), company.cleo)
    ended = phone_in(browser_make(), company.saul)
    browser = signed_in(company.omar)
    browser.post(f"{PHONES}/{ended.pk}/revoke")

    def people(query: str) -> list[int]:
        return [one["person"] for one in browser.get(f"{PHONES}?{query}").json()["results"]]

    assert people("ended=false") == [company.cleo.pk]
    assert people("ended=true") == [company.saul.pk]
    assert people(f"person={company.saul.pk}") == [company.saul.pk]
    assert browser.get(f"{PHONES}?person=x").status_code == 400


def test_a_phone_is_ended_once(company: Company) -> None:
    lost = browser_make()
    phone = phone_in(lost, company.cleo)
    browser = signed_in(company.omar)
    first, again = (browser.post(f"{PHONES}/{phone.pk}/revoke") for _ in range(2))
    assert first.status_code == again.status_code == 200
    assert first.json()["revoked_at"] == again.json()["revoked_at"] is not None
    assert lost.get(reverse("crew-days")).status_code == 302


def test_a_link_is_made_and_its_address_told_this_once(company: Company) -> None:
    answer = ask(company, {"person": company.cleo.pk})
    assert answer.status_code == 201
    assert answer.headers["Cache-Control"] == "no-store"
    address = answer.json()["address"]
    secret = urlsplit(address).path.split("/")[2]
    listed = signed_in(company.omar).get(f"{LINKS}?open=true")
    assert [one["id"] for one in listed.json()["results"]] == [answer.json()["id"]]
    assert secret not in listed.content.decode()
    assert press(browser_make(), secret).status_code == 302
    assert signed_in(company.omar).get(f"{LINKS}?open=true").json()["results"] == []


@pytest.mark.parametrize(
    "body", [{}, [], None, "x", 7, {"person": "x"}, {"person": -1}, {"person": 10**30}]
)
def test_what_names_nobody_is_refused_and_changes_nothing(company: Company, body: object) -> None:
    answer = ask(company, body)
    assert answer.status_code == 400
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert not PhoneLink.objects.exists()


def test_who_is_no_lead_of_the_yard_is_not_there(company: Company) -> None:
    answers = [ask(company, {"person": number}) for number in (company.lars.pk, 987654)]
    answers.append(ask(company, {"person": company.esme.pk}))
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.content for answer in answers}) == 1


def test_a_link_is_withdrawn(company: Company) -> None:
    secret = secret_of(company.cleo)
    link, browser = PhoneLink.objects.get(), signed_in(company.omar)
    first, again = (browser.post(f"{LINKS}/{link.pk}/revoke") for _ in range(2))
    assert first.json()["revoked_at"] == again.json()["revoked_at"] is not None
    assert browser_make().get(reverse("phone-link", args=[secret])).status_code == 404
    elsewhere = signed_in(company.lena).post(f"{LINKS}/{link.pk}/revoke")
    assert elsewhere.status_code == 404
