"""What every answer carries, signing in and out, health, language and logs."""

import logging

import pytest
from django.test import Client
from django.urls import reverse

from contractor.logs import LinkRedaction, link_redacted
from tests.people import PASSWORD, Company, password_give

pytestmark = pytest.mark.django_db


def test_every_answer_carries_the_security_headers(client: Client) -> None:
    response = client.get(reverse("sign-in"))
    policy = response.headers["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["X-Frame-Options"] == "DENY"
    assert response.headers["Referrer-Policy"] == "same-origin"


def test_health_answers_without_signing_in(client: Client) -> None:
    assert client.get("/livez").content == b"alive\n"
    assert client.get("/readyz").content == b"ready\n"


def test_wrong_password_says_so_and_lets_nobody_in(client: Client, company: Company) -> None:
    response = client.post(reverse("sign-in"), {"username": "omar", "password": "wrong"})
    assert "do not go together" in response.content.decode()
    assert "_auth_user_id" not in client.session


def test_five_wrong_passwords_lock_that_name_only(client: Client, company: Company) -> None:
    for user in (company.omar, company.olive):
        password_give(user)
    for _ in range(5):
        response = client.post(reverse("sign-in"), {"username": "omar", "password": "wrong"})
    assert response.status_code == 429
    assert "Wait a little" in response.content.decode()
    right = client.post(reverse("sign-in"), {"username": "omar", "password": PASSWORD})
    assert right.status_code == 429
    other = client.post(reverse("sign-in"), {"username": "olive", "password": PASSWORD})
    assert other.status_code == 302


def test_signing_out_needs_a_post(client: Client, company: Company) -> None:
    client.force_login(company.omar)
    assert client.get(reverse("sign-out")).status_code == 405
    client.post(reverse("sign-out"))
    assert "_auth_user_id" not in client.session


@pytest.mark.parametrize(
    ("name", "page"),
    [("olive", "week"), ("omar", "week"), ("esme", "job-list"), ("cleo", "crew-days")],
)
def test_home_is_where_each_person_s_work_starts(
    client: Client, company: Company, name: str, page: str
) -> None:
    client.force_login(getattr(company, name))
    assert client.get("/").headers["Location"] == reverse(page)


def test_language_is_kept_with_the_person_and_never_leads_off_the_site(
    client: Client, company: Company
) -> None:
    client.force_login(company.cleo)
    response = client.post(
        reverse("language-set"), {"language": "es", "next": "https://elsewhere.example/"}
    )
    assert response.headers["Location"] == "/"
    company.cleo.refresh_from_db()
    assert company.cleo.language == "es"
    client.post(reverse("language-set"), {"language": "xx", "next": "/"})
    company.cleo.refresh_from_db()
    assert company.cleo.language == "es"


def test_an_unknown_api_address_is_a_problem_document(client: Client) -> None:
    response = client.get("/api/nothing-here")
    assert response.status_code == 404
    assert response.headers["Content-Type"] == "application/problem+json"
    assert response.json()["status"] == 404


def test_the_secret_of_a_link_never_reaches_a_log() -> None:
    secret = "Qk3v9wXh2LrT7yBnM4pZ8sDf6gJc1aEuV0iOoRtYhKs"
    for place in ("c", "mail/stop", "phone"):
        assert secret not in link_redacted(f'"GET /{place}/{secret}/ HTTP/1.1" 200')
    record = logging.LogRecord("x", 20, "f", 1, "%s %s", (f"GET /c/{secret}/", 200), None)
    LinkRedaction().filter(record)
    assert record.getMessage() == "GET /c/…/ 200"
