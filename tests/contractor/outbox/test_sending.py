"""The outbox and its sender against a real SMTP server on loopback; the mails are read back."""

from datetime import datetime, timedelta
from unittest.mock import patch

import pytest
from pytest_django import Settings

from contractor.models import Event, MailAddress, OutboxMail
from contractor.outbox.letters import Letter
from contractor.outbox.seal import seal_make, seal_open
from contractor.outbox.services import send
from contractor.outbox.services.send import (
    LEASE,
    mail_claim,
    mail_fail,
    mail_finish,
    mail_retry,
    outbox_send,
)
from contractor.outbox.services.stops import mail_resume, mail_stop, stop_url
from contractor.outbox.services.write import address_ensure
from tests.contractor.outbox.letters import EMAIL, letter_write, mail_server
from tests.people import ACTOR, NOW, Company
from tests.trust.faults.harness import sweep

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(minutes=5)


def at(now: datetime) -> int:
    return outbox_send(clock=lambda: now)


def written(company: Company, key: str = "k1", **values: object) -> OutboxMail:
    mail = letter_write(company.fairfield, key, **values)  # type: ignore[arg-type]
    assert mail is not None
    return mail


def test_a_spanish_mail_arrives_whole(company: Company, settings: Settings) -> None:
    letter = Letter("Qué falta mañana: 2 cosas", ["Señora Peña:", "", "- cajón sellado, ½ pulgada"])
    mail = written(company, to_name="José Peña", language="es", letter=letter)
    with mail_server(settings) as receiver:
        assert at(NOW) == 1
    (received,) = receiver.mails
    assert received["Subject"] == "Qué falta mañana: 2 cosas"
    assert received["To"].addresses[0].display_name == "José Peña"
    assert received["To"].addresses[0].addr_spec == EMAIL
    assert received["Content-Language"] == "es"
    assert received.get_content_type() == "multipart/alternative"
    plain, html = received.iter_parts()
    assert [part.get_content_type() for part in (plain, html)] == ["text/plain", "text/html"]
    assert plain.get_content_charset() == html.get_content_charset() == "utf-8"
    assert plain.get_content().splitlines()[:3] == letter.lines
    assert "- cajón sellado, ½ pulgada<br>" in html.get_content()
    mail.refresh_from_db()
    assert (mail.state, mail.sent_at, mail.tries) == ("sent", NOW, 1)
    assert Event.objects.filter(noun="outboxmail", verb="sent").count() == 1


def test_the_headers_let_a_mail_program_stop_it(company: Company, settings: Settings) -> None:
    """RFC 8058 section 3.1: both headers, an HTTPS address, and exactly this value."""
    settings.SITE_URL = "https://office.example.com"
    mail = written(company)
    with mail_server(settings) as receiver:
        at(NOW)
    (received,) = receiver.mails
    assert received["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    listed = received["List-Unsubscribe"].strip()  # a long header is folded before its value
    assert listed == f"<{stop_url(mail.address)}>"
    assert listed.startswith("<https://office.example.com/mail/stop/")
    assert received["Auto-Submitted"] == "auto-generated"  # RFC 3834 section 5
    assert received["Message-ID"].endswith("@office.example.com>")
    assert stop_url(mail.address) in received.get_body(("plain",)).get_content()  # type: ignore[union-attr]


def test_a_hostile_name_writes_no_header_and_no_markup(
    company: Company, settings: Settings
) -> None:
    name = 'Eve\r\nBcc: all@example.org\r\n\r\n<script>alert(1)</script>", <x@example.org>'
    letter = Letter(f"List of {name}", [f"For {name}"])
    written(company, to_name=name, letter=letter)
    with mail_server(settings) as receiver:
        assert at(NOW) == 1
    (received,) = receiver.mails
    assert received["Bcc"] is None
    assert receiver.taken[0].rcpt_tos == [EMAIL]
    assert [each.addr_spec for each in received["To"].addresses] == [EMAIL]
    assert "<script>" not in received.get_body(("html",)).get_content()  # type: ignore[union-attr]
    assert received["Subject"].startswith("List of Eve Bcc: all@example.org <script>")


@pytest.mark.parametrize("email", ["", "rosa", "rosa@hazel.example\nBcc: all@example.org", "a b@c"])
def test_what_is_no_address_gets_no_mail(email: str) -> None:
    assert address_ensure(email) is None
    assert MailAddress.objects.count() == 0


def test_one_key_is_one_mail(company: Company) -> None:
    assert letter_write(company.fairfield) is not None
    assert letter_write(company.fairfield) is None
    assert OutboxMail.objects.count() == 1


def test_two_senders_never_hold_one_mail(company: Company) -> None:
    mail = written(company)
    first = mail_claim(mail_id=mail.pk, owner="a", now=NOW)
    assert first is not None
    assert mail_claim(mail_id=mail.pk, owner="b", now=NOW) is None
    assert at(NOW) == 0


def test_a_sender_that_dies_before_the_server_took_it_loses_nothing(
    company: Company, settings: Settings
) -> None:
    mail = written(company)
    assert mail_claim(mail_id=mail.pk, owner="dies", now=NOW) is not None
    with mail_server(settings) as receiver:
        assert at(NOW + LEASE - timedelta(seconds=1)) == 0
        assert at(NOW + LEASE) == 1
        assert at(NOW + 2 * LEASE) == 0
    assert len(receiver.mails) == 1


def test_a_sender_that_dies_after_the_server_took_it_sends_the_same_again(
    company: Company, settings: Settings
) -> None:
    """The boundary of at-least-once: both copies carry one Message-ID and one link."""
    seal = seal_make()
    letter = Letter("List", [f"{settings.SITE_URL}/c/{seal}/"], (seal,))
    written(company, letter=letter)
    with mail_server(settings) as receiver:
        with (
            patch.object(send, "mail_finish", side_effect=KeyboardInterrupt),
            pytest.raises(KeyboardInterrupt),
        ):
            at(NOW)
        assert at(NOW + LEASE) == 1
    first, second = receiver.mails
    assert first["Message-ID"] == second["Message-ID"]
    texts = {each.get_body(("plain",)).get_content() for each in (first, second)}  # type: ignore[union-attr]
    assert len(texts) == 1
    assert f"/c/{seal_open(seal)}/" in texts.pop()


def test_a_secret_is_in_the_mail_and_in_no_table(company: Company, settings: Settings) -> None:
    seal = seal_make()
    mail = written(company, letter=Letter("List", [f"{settings.SITE_URL}/c/{seal}/"], (seal,)))
    secret = seal_open(seal)
    assert len(secret) == 43  # 256 bits in base64url without padding (RFC 4648 section 5)
    row = repr(OutboxMail.objects.filter(pk=mail.pk).values_list().get())
    assert seal in row
    assert secret not in row
    settings.SECRET_KEY = "another key of the site, of fifty characters or so 1"
    assert seal_open(seal) != secret


def test_a_late_sender_overwrites_nothing(company: Company) -> None:
    mail = written(company)
    slow = mail_claim(mail_id=mail.pk, owner="slow", now=NOW)
    quick = mail_claim(mail_id=mail.pk, owner="quick", now=NOW + LEASE)
    assert slow is not None
    assert quick is not None
    assert mail_finish(claim=quick, now=NOW + LEASE)
    assert not mail_fail(claim=slow, error="late", is_final=True, now=NOW + LEASE)
    assert not mail_finish(claim=slow, now=NOW + LEASE)
    mail.refresh_from_db()
    assert mail.state == "sent"


def test_tries_lie_three_times_as_far_apart_each_and_end_after_eight(
    company: Company, settings: Settings
) -> None:
    mail = written(company)
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9  # nobody listens there
    now = NOW
    pauses: list[int] = []
    while mail.state == "waiting" and len(pauses) < 20:
        assert at(now) == 0
        mail.refresh_from_db()
        pauses.append(round((mail.next_try_at - now).total_seconds() / 60))
        now = mail.next_try_at
    # 1 + 3 + ... + 3^6 = (3^7 - 1) / 2 = 1093 minutes, a geometric series.
    assert pauses[:-1] == [1, 3, 9, 27, 81, 243, 729]
    assert (mail.state, mail.tries) == ("dead", 8)
    assert "ConnectionRefusedError" in mail.last_error
    assert Event.objects.filter(noun="outboxmail", verb="died").count() == 1


def test_a_server_out_of_reach_costs_one_mail_a_try_not_all(
    company: Company, settings: Settings
) -> None:
    for number in range(3):
        written(company, f"k{number}")
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9
    at(NOW)
    assert sorted(OutboxMail.objects.values_list("tries", flat=True)) == [0, 0, 1]


@pytest.mark.parametrize(
    ("reply", "state"), [("550 no such box", "dead"), ("451 later", "waiting")]
)
def test_a_refusal_for_good_is_not_tried_again(
    company: Company, settings: Settings, reply: str, state: str
) -> None:
    """RFC 5321 section 4.2.1: a 5yz reply is not to be repeated, a 4yz one may be."""
    mail, other = written(company), written(company, "k2", email="other@hazel.example")
    with mail_server(settings) as receiver:
        receiver.replies[EMAIL] = reply
        assert at(NOW) == 1
    mail.refresh_from_db()
    other.refresh_from_db()
    assert (mail.state, other.state) == (state, "sent")
    assert mail.last_error == reply


def test_the_dead_are_tried_again_when_asked(company: Company, settings: Settings) -> None:
    mail = written(company)
    OutboxMail.objects.update(state="dead", tries=8, last_error="gone")
    assert mail_retry(mail_id=mail.pk, actor=ACTOR, now=LATER)
    assert not mail_retry(mail_id=mail.pk, actor=ACTOR, now=LATER)
    with mail_server(settings) as receiver:
        assert at(LATER) == 1
    assert len(receiver.mails) == 1


def test_who_stopped_gets_nothing_more(company: Company, settings: Settings) -> None:
    mail = written(company)
    mail_stop(address_id=mail.address_id, actor=ACTOR, now=NOW)
    assert letter_write(company.fairfield, "k2") is None
    with mail_server(settings) as receiver:
        assert at(NOW) == 0
    mail.refresh_from_db()
    assert (receiver.mails, mail.state) == ([], "dead")
    assert "stopped" in mail.last_error
    assert not mail_retry(mail_id=mail.pk, actor=ACTOR, now=NOW)
    mail_resume(address_id=mail.address_id, actor=ACTOR, now=NOW)
    assert letter_write(company.fairfield, "k3") is not None


def test_what_is_too_late_is_not_sent(company: Company, settings: Settings) -> None:
    mail = written(company)
    with mail_server(settings) as receiver:
        assert at(NOW + timedelta(days=2)) == 0
    mail.refresh_from_db()
    assert (receiver.mails, mail.state) == ([], "dead")
    assert "late" in mail.last_error


def test_production_without_a_server_keeps_mail_waiting(
    company: Company, settings: Settings
) -> None:
    mail = written(company)
    settings.MAIL_ENABLED = False
    assert at(NOW) == 0
    mail.refresh_from_db()
    assert (mail.state, mail.tries) == ("waiting", 0)


def test_a_fault_at_any_statement_leaves_nothing_half_done(company: Company) -> None:
    claims = []
    for key in ("k1", "k2", "k3"):
        mail = written(company, key)
        claims.append(mail_claim(mail_id=mail.pk, owner="a", now=NOW))
    finished, failed, _open = claims
    assert finished is not None
    assert failed is not None
    calls = (
        lambda: letter_write(company.fairfield, "k4"),
        lambda: mail_finish(claim=finished, now=NOW),
        lambda: mail_fail(claim=failed, error="x", is_final=True, now=NOW),
        lambda: mail_retry(mail_id=failed.mail_id, actor=ACTOR, now=NOW),
        lambda: mail_stop(address_id=mail.address_id, actor=ACTOR, now=NOW),
        lambda: mail_resume(address_id=mail.address_id, actor=ACTOR, now=NOW),
    )
    assert all(sweep(call) >= 1 for call in calls)
