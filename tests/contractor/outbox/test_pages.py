"""The stop page that a mail carries, and the office's page of what was sent and what died."""

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries, Settings

from contractor.models import Event, MailAddress, OutboxMail
from contractor.outbox.services.stops import stop_token
from tests.contractor.outbox.letters import EMAIL, letter_write
from tests.pages import marks
from tests.people import Company, signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def mail(company: Company) -> OutboxMail:
    """A mail to Rosa that waits."""
    written = letter_write(company.fairfield)
    assert written is not None
    return written


def stop_address(mail: OutboxMail) -> str:
    return reverse("mail-stop", args=[stop_token(mail.address)])


def is_stopped() -> bool:
    return MailAddress.objects.get(email=EMAIL).stopped_at is not None


def test_a_scanner_that_opens_the_stop_link_a_hundred_times_stops_nothing(
    mail: OutboxMail, client: Client
) -> None:
    events = Event.objects.count()
    for _ in range(100):
        response = client.get(stop_address(mail))
    assert response.status_code == 200
    assert EMAIL in marks(response)
    assert response.headers["Referrer-Policy"] == "no-referrer"
    assert not is_stopped()
    assert Event.objects.count() == events


def test_one_click_stops_without_cookie_or_token(mail: OutboxMail) -> None:
    """RFC 8058 section 3.2: the mail program posts this body, and must not need a cookie."""
    browser = Client(enforce_csrf_checks=True)
    response = browser.post(stop_address(mail), {"List-Unsubscribe": "One-Click"})
    assert response.status_code == 200
    assert is_stopped()
    assert Event.objects.filter(noun="mailaddress", verb="stopped").count() == 1
    browser.post(stop_address(mail), {"List-Unsubscribe": "One-Click"})
    assert Event.objects.filter(noun="mailaddress", verb="stopped").count() == 1


def test_the_form_stops_and_starts_again(mail: OutboxMail, client: Client) -> None:
    client.post(stop_address(mail), {"wish": "stop"})
    assert is_stopped()
    client.post(stop_address(mail), {"wish": "resume"})
    assert not is_stopped()


@pytest.mark.parametrize("token", ["1", "1:", "1:AAAA", "x" * 60, "999:" + "A" * 43, "%00"])
def test_a_word_that_we_did_not_sign_opens_nothing(
    mail: OutboxMail, client: Client, token: str
) -> None:
    for method in (client.get, client.post):
        assert method(f"/mail/stop/{token}/").status_code == 404
    assert not is_stopped()


def test_the_page_speaks_the_person_s_language(company: Company, client: Client) -> None:
    mail = letter_write(company.fairfield, language="es")
    assert mail is not None
    assert 'lang="es"' in marks(client.get(stop_address(mail)))


def test_the_office_sees_what_was_sent_what_died_and_who_stopped(
    company: Company, mail: OutboxMail, client: Client
) -> None:
    omar = signed_in(company.omar)
    OutboxMail.objects.update(state="dead", last_error="550 no <such> box")
    page = marks(omar.get("/mail/?state=dead"))
    assert "550 no &lt;such&gt; box" in page
    assert "What tomorrow hangs on" in page
    assert "What tomorrow hangs on" not in marks(omar.get("/mail/?state=sent"))
    client.post(stop_address(mail))
    assert f"{EMAIL}, " in marks(omar.get("/mail/"))
    omar.post(reverse("mail-resume", args=[mail.address_id]))
    assert not is_stopped()


def test_the_office_reads_a_mail_without_its_links_in_its_own_zone(
    company: Company, mail: OutboxMail
) -> None:
    page = marks(signed_in(company.omar).get(reverse("mail-one", args=[mail.pk])))
    assert "chase cover" in page
    assert "/mail/stop/…/" in page
    assert stop_token(mail.address) not in page
    assert "Feb 25, 09:00 CST" in page  # written at 15:00 UTC


def test_the_office_tries_a_dead_mail_again(company: Company, mail: OutboxMail) -> None:
    OutboxMail.objects.update(state="dead", tries=8)
    omar = signed_in(company.omar)
    assert "Try again" in marks(omar.get(reverse("mail-one", args=[mail.pk])))
    omar.post(reverse("mail-again", args=[mail.pk]))
    mail.refresh_from_db()
    assert (mail.state, mail.tries) == ("waiting", 0)
    assert Event.objects.filter(verb="tried again", user=company.omar).count() == 1


def test_a_mail_about_several_branches_is_read_by_owners_only(
    company: Company, mail: OutboxMail
) -> None:
    OutboxMail.objects.update(spans_branches=True)
    address = reverse("mail-one", args=[mail.pk])
    assert "chase cover" not in marks(signed_in(company.omar).get(address))
    assert "chase cover" in marks(signed_in(company.olive).get(address))


def test_the_office_is_told_that_nothing_is_sent(
    company: Company, mail: OutboxMail, settings: Settings
) -> None:
    settings.MAIL_ENABLED = False
    assert "EMAIL_URL" in marks(signed_in(company.omar).get("/mail/"))


def test_queries_do_not_grow_with_mails(
    company: Company,
    mail: OutboxMail,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    omar = signed_in(company.omar)
    with django_assert_max_num_queries(10):
        omar.get("/mail/")
    for number in range(30):
        letter_write(company.fairfield, f"k{number}", email=f"a{number}@hazel.example")
    with django_assert_max_num_queries(10):
        omar.get("/mail/")
