"""Odd calls of the API, drawn from its own schema, as each role and nobody.

TRUST_FUZZ sets how many calls each role makes; 2000 and more for a thorough look.
"""

import os
from collections import Counter
from random import Random
from typing import Any

import pytest
from django.http import HttpResponse, JsonResponse
from django.test import Client

from tests.access_world import yard_make
from tests.people import Company, signed_in
from tests.trust.disk import Figure, figure
from tests.trust.fuzz import Case, answer_of, case_drawn, faults_of, schema_published

__all__ = ["figure"]
CASES = int(os.environ.get("TRUST_FUZZ", "80"))
ROLES = ("olive", "omar", "esme", "cleo", "lars", "")


@pytest.mark.django_db
@pytest.mark.parametrize("role", ROLES)
def test_odd_calls_get_problem_documents(company: Company, role: str, figure: Figure) -> None:
    yard = yard_make(company, company.fairfield, company.north, company.omar)
    known = {
        "/api/jobs/{id}": yard.job.pk,
        "/api/weeks/{id}": yard.week.pk,
        "/api/crew-days/{id}": yard.crew_day.pk,
    }
    browser = signed_in(getattr(company, role)) if role else Client()
    browser.raise_request_exception = False
    chance, schema, faults = Random(f"fuzz {role}"), schema_published(), []
    assert set(known) <= set(schema["paths"])
    statuses: Counter[int] = Counter()
    for _ in range(CASES):
        case = case_drawn(chance, schema, known)
        answer = answer_of(browser, case)
        statuses[answer.status_code] += 1
        faults += [f"{case}"[:400] + f": {fault}" for fault in faults_of(case, answer, schema)]
    figure(f"odd calls of the API as {role or 'nobody'}, by status", dict(statuses))
    figure("faults", len(faults))
    assert faults == []


CALL = Case("/api/jobs", "get", "/api/jobs?", b"", "", {})


@pytest.mark.django_db
@pytest.mark.parametrize(
    "answer",
    [
        HttpResponse(status=500),
        HttpResponse("no", status=404),
        JsonResponse({"status": 400}, status=404, content_type="application/problem+json"),
        JsonResponse({"count": "many"}),
    ],
)
def test_the_judge_of_answers_sees_faults(answer: Any) -> None:
    assert faults_of(CALL, answer, schema_published())
