"""The outbox in the API: what it tells, and that it never tells a link."""

import json

import jsonschema
import pytest
from drf_spectacular.generators import SchemaGenerator

from contractor.models import OutboxMail
from contractor.outbox.services.stops import stop_token
from tests.contractor.outbox.letters import letter_write
from tests.people import Company, signed_in
from tests.test_api import _nullable

pytestmark = pytest.mark.django_db


def test_an_office_lists_its_own_mail_by_state(company: Company) -> None:
    mail = letter_write(company.fairfield)
    assert mail is not None
    omar = signed_in(company.omar)
    (found,) = omar.get("/api/mails?state=waiting").json()["results"]
    assert (found["id"], found["to"], found["state"]) == (mail.pk, "rosa@hazel.example", "waiting")
    assert omar.get("/api/mails?state=dead").json()["results"] == []
    assert signed_in(company.lena).get("/api/mails").json()["results"] == []
    assert omar.get("/api/mails?state=lost").status_code == 400


def test_it_holds_neither_text_nor_stop_link(company: Company) -> None:
    mail = letter_write(company.fairfield)
    assert mail is not None
    body = signed_in(company.olive).get("/api/mails").content.decode()
    assert stop_token(mail.address) not in body
    assert "chase cover" not in body


def test_answers_keep_the_published_schema(company: Company) -> None:
    letter_write(company.fairfield)
    OutboxMail.objects.update(state="dead", last_error="550 no")
    schema = json.loads(json.dumps(SchemaGenerator().get_schema(public=True)))
    answer = schema["paths"]["/api/mails"]["get"]["responses"]["200"]
    form = answer["content"]["application/json"]["schema"]
    body = signed_in(company.olive).get("/api/mails").json()
    assert body["count"] == 1
    jsonschema.validate(body, {**form, "components": _nullable(schema["components"])})
