"""The page where a short code is typed: neutral, counted, without cookie; only sending opens."""

from collections.abc import Iterator
from datetime import timedelta

import pytest
import time_machine
from django.test import Client, RequestFactory
from django.utils import translation

from jobs.checklists.services.code import checklist_code_make
from jobs.checklists.services.link import checklist_link_revoke
from jobs.models import ChecklistLink, CodeTry
from scheduling.checklists.views.code import client_address
from tests.jobs.estimates.built import built
from tests.pages import inline_faults, weight, words
from tests.people import ACTOR, NOW, Company
from tests.scheduling.crew_days.phones import secret_of


@pytest.fixture(autouse=True)
def _thursday_morning() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def code(company: Company) -> str:
    secret_of(built(company))
    return checklist_code_make(link=ChecklistLink.objects.get(), actor=ACTOR, now=NOW)[1]


def test_a_typed_code_leads_to_the_list(code: str) -> None:
    client = Client(enforce_csrf_checks=True)
    page = client.post("/code/?lang=en", {"code": f"{code[:4]} {code[4:]}".lower()}, follow=True)
    assert page.redirect_chain[0][0].startswith("/c/")
    assert "Rosa Reyes: what your houses still owe us" in words(page)
    assert client.cookies == {}
    assert CodeTry.objects.count() == 0


def test_wrong_expired_and_revoked_codes_look_alike(code: str) -> None:
    wrong = Client().post("/code/?lang=en", {"code": "ACDEACDE"})
    assert "This code opens nothing." in words(wrong)
    link = ChecklistLink.objects.get()
    ChecklistLink.objects.update(expires_at=NOW - timedelta(seconds=1))
    expired = Client().post("/code/?lang=en", {"code": code})
    ChecklistLink.objects.update(expires_at=NOW + timedelta(days=1))
    checklist_link_revoke(link_id=link.pk, actor=ACTOR, now=NOW)
    revoked = Client().post("/code/?lang=en", {"code": code})
    empty = Client().post("/code/?lang=en")
    answers = (wrong, expired, revoked, empty)
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.content for answer in answers}) == 1


def test_after_ten_wrong_ones_a_right_one_is_not_looked_at(code: str) -> None:
    for _ in range(10):
        assert Client().post("/code/", {"code": "ACDEACDE"}).status_code == 404
    late = Client().post("/code/?lang=en", {"code": code})
    assert late.status_code == 429
    assert late.headers["Retry-After"] == "3600"
    assert "Too many codes were tried." in words(late)
    assert ChecklistLink.objects.count() == 1
    elsewhere = Client(REMOTE_ADDR="198.51.100.9").post("/code/", {"code": code})
    assert elsewhere.status_code == 302
    with time_machine.travel(NOW + timedelta(hours=1), tick=False):
        assert Client().post("/code/", {"code": code}).status_code == 302


@pytest.mark.django_db
def test_it_speaks_spanish_weighs_little_and_is_kept_by_nobody() -> None:
    with translation.override("en"):  # a browser's language stays on when its answer is made
        by_browser = Client().get("/code/", headers={"accept-language": "es-MX,es;q=0.9"})
    for page in (by_browser, Client().get("/code/?lang=es")):
        assert "Escriba el código de su hoja" in words(page)
        assert weight(page) <= 14 * 1024
        assert inline_faults(page) == []
        assert page.headers["Referrer-Policy"] == "no-referrer"
        assert page.headers["Cache-Control"] == "no-store"


def test_only_the_proxy_s_own_word_counts(settings: object) -> None:
    asked = RequestFactory(REMOTE_ADDR="192.0.2.7")
    forged = asked.get("/code/", headers={"x-forwarded-for": "203.0.113.5, 198.51.100.9"})
    assert client_address(forged) == "192.0.2.7"
    settings.SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")  # type: ignore[attr-defined]
    assert client_address(forged) == "198.51.100.9"
    assert client_address(asked.get("/", headers={"x-forwarded-for": "nonsense"})) == "192.0.2.7"
