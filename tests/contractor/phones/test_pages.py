"""The office's page of phones, a link made there and shown once, and a lead's page of his own."""

import re
from datetime import timedelta
from html import unescape
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from contractor.models import CrewMember, Phone, PhoneLink, Role
from contractor.phones.services import phone_revoke
from tests.contractor.phones.world import address_of, browser_make, phone_in, press, secret_of
from tests.pages import Reply, marks
from tests.people import ACTOR, Company, lead_user, signed_in

pytestmark = pytest.mark.django_db
PHONES, LINK, MINE = "/phones/", "/phones/link/", "/phones/mine/"


def text_of(response: Reply) -> str:
    return unescape(marks(response))


def made(company: Company, person: str = "cleo") -> Reply:
    """The page of a link that Omar makes."""
    browser = signed_in(company.omar)
    return browser.post(LINK, {"person": getattr(company, person).pk}, follow=True)


def address_shown(response: Reply) -> str:
    found = re.search(r'class="address" readonly value="([^"]+)"', marks(response))
    assert found
    return found[1]


def test_the_office_sees_the_leads_of_its_yard_with_their_phones(company: Company) -> None:
    phone_in(browser_make(), company.cleo)
    Phone.objects.update(unsent=4, unsent_photos=1, reported_at=timezone.now())
    said = text_of(signed_in(company.omar).get(PHONES))
    assert "Android, Chrome" in said
    assert "4 taps, 1 photo" in said
    assert "Saul" in said
    assert "No phone is signed in." in said
    assert "Lars" not in said
    assert "Lars" in text_of(signed_in(company.olive).get(PHONES))


def test_a_link_is_shown_once_and_signs_in(company: Company) -> None:
    page = made(company)
    address = address_shown(page)
    assert re.fullmatch(r"http://127\.0\.0\.1:8000/phone/[A-Za-z0-9_-]{43}/", address)
    assert page.headers["Cache-Control"].startswith("max-age=0, no-cache, no-store")
    secret = urlsplit(address).path.split("/")[2]
    assert secret not in text_of(signed_in(company.omar).get(PHONES))
    assert press(browser_make(), secret).status_code == 302
    assert Phone.objects.get().person == company.cleo


def test_the_link_is_of_the_public_address(company: Company, settings) -> None:  # type: ignore[no-untyped-def]
    settings.DEBUG, settings.SITE_URL = False, "https://office.example.com"
    assert address_shown(made(company)).startswith("https://office.example.com/phone/")


def test_the_picture_and_the_ways_to_send_carry_the_address(company: Company) -> None:
    CrewMember.objects.filter(user=company.cleo).update(phone="515-555-0101 home")
    company.cleo.email, company.cleo.language = "cleo@hazel.example", "es"
    company.cleo.save()
    page = made(company)
    said, address = text_of(page), address_shown(page)
    assert 'src="data:image/svg+xml' in said
    assert " style=" not in said
    sms = re.search(r'href="(sms:[^"]+)"', said)
    mail = re.search(r'href="(mailto:[^"]+)"', said)
    assert sms
    assert mail
    assert sms[1].startswith("sms:5155550101?&body=")
    assert address in unquote(sms[1])
    assert unquote(sms[1]).split("body=")[1].startswith("Dé acceso a su teléfono como Cleo")
    assert mail[1].startswith("mailto:cleo%40hazel.example?")
    (body,) = parse_qs(urlsplit(mail[1]).query)["body"]
    assert address in body


def test_a_line_in_a_mailbox_makes_no_header_of_a_mail(company: Company) -> None:
    company.cleo.email = "a@b.example?bcc=all@evil.example&x=\r\nBcc: y"
    company.cleo.save()
    mail = re.search(r'href="(mailto:[^"]+)"', text_of(made(company)))
    assert mail
    assert set(parse_qs(urlsplit(mail[1]).query)) == {"subject", "body"}
    assert "\n" not in mail[1]


@pytest.mark.parametrize(
    "person", ["", "x", "-1", "0", "9" * 19, "9" * 5000, "٣", "1.5", "987654", "\x00"]
)
def test_a_link_for_nobody_is_not_there(company: Company, person: str) -> None:
    assert signed_in(company.omar).post(LINK, {"person": person}).status_code == 404
    assert not PhoneLink.objects.exists()


@pytest.mark.parametrize("person", ["lars", "olive", "omar", "esme", "lena"])
def test_nobody_gets_a_link_for_another_yard_or_for_the_desk(company: Company, person: str) -> None:
    assert made(company, person).status_code == 404


def test_an_open_link_can_be_withdrawn(company: Company) -> None:
    browser, secret = signed_in(company.omar), secret_of(company.cleo)
    link = PhoneLink.objects.get()
    assert "Withdraw it" in text_of(browser.get(PHONES))
    url = reverse("phone-link-end", args=[link.pk])
    assert "withdrawn and opens nothing" in text_of(browser.post(url, follow=True))
    assert "used or withdrawn before" in text_of(browser.post(url, follow=True))
    assert Client().get(address_of(secret)).status_code == 404
    assert "Withdraw it" not in text_of(browser.get(PHONES))


def test_the_office_ends_a_phone_and_keeps_what_it_had_not_sent(company: Company) -> None:
    lost, browser = browser_make(), signed_in(company.omar)
    phone = phone_in(lost, company.cleo)
    Phone.objects.update(unsent=4, reported_at=timezone.now())
    url = reverse("phone-end", args=[phone.pk])
    assert "is signed out" in text_of(browser.post(url, follow=True))
    assert "signed out before" in text_of(browser.post(url, follow=True))
    assert lost.get(reverse("crew-days")).status_code == 302
    said = text_of(browser.get(PHONES))
    ended = said[said.index("Signed out in the last 30 days") :]
    assert "by Omar" in ended
    assert "4 taps" in ended
    Phone.objects.update(revoked_at=timezone.now() - timedelta(days=31))
    assert "Signed out in the last" not in text_of(browser.get(PHONES))


def test_a_lead_who_left_is_not_listed(company: Company) -> None:
    phone_in(browser_make(), company.cleo)
    company.cleo.is_active = False
    company.cleo.save()
    said = text_of(signed_in(company.omar).get(PHONES))
    assert "Cleo" not in said
    assert "Android, Chrome" not in said


def test_hostile_names_are_text(company: Company) -> None:
    company.cleo.first_name = "qperson<script>alert(1)</script>"
    company.cleo.save()
    browser = browser_make()
    phone_in(browser, company.cleo)
    Phone.objects.update(name='"><svg/onload=alert(2)>')
    secret = secret_of(company.cleo)
    pages = [
        signed_in(company.omar).get(PHONES),
        made(company),
        Client().get(address_of(secret)),
        browser_make().get(address_of(secret_of(company.cleo))),
        browser.get(MINE),
    ]
    for page in pages:
        assert b"<script>" not in page.content
        assert b"<svg/" not in page.content


def test_a_lead_sees_and_ends_the_own_phones_only(company: Company) -> None:
    mine, other, sauls = browser_make(), browser_make(), browser_make()
    here = phone_in(mine, company.cleo)
    lost = phone_in(other, company.cleo)
    foreign = phone_in(sauls, company.saul)
    said = text_of(mine.get(MINE))
    assert said.count("Android, Chrome") >= 2
    assert "the phone in your hand" in said
    assert reverse("phone-mine-end", args=[here.pk]) not in said
    token = mine.cookies["csrftoken"].value
    for phone, status in ((lost, 302), (foreign, 404)):
        answer = mine.post(
            reverse("phone-mine-end", args=[phone.pk]), {"csrfmiddlewaretoken": token}
        )
        assert answer.status_code == status
    assert other.get(MINE).status_code == 302
    assert sauls.get(MINE).status_code == 200
    assert mine.get(MINE).status_code == 200


def test_a_desk_has_no_phone(company: Company) -> None:
    said = text_of(signed_in(company.omar).get(MINE))
    assert "No phone is signed in as you by a link" in said


def test_queries_do_not_grow_with_leads_and_phones(company: Company) -> None:
    browser = signed_in(company.omar)

    def fill(many: int) -> None:
        for number in range(many):
            lead = lead_user(f"lead{many}{number}", company.fairfield)
            assert lead.role == Role.CREW_LEAD
            CrewMember.objects.create(crew=company.north, name=lead.username, user=lead)
            phone_in(browser_make(), lead)
            phone_in(browser_make(), lead)
            phone_revoke(
                phone_id=phone_in(browser_make(), lead).pk, actor=ACTOR, now=timezone.now()
            )
            secret_of(lead)

    counts = []
    for many in (1, 6):
        fill(many)
        with CaptureQueriesContext(connection) as queries:
            browser.get(PHONES)
        counts.append(len(queries))
    assert counts[0] == counts[1], counts
    assert counts[1] <= 8
