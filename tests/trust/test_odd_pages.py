"""Every address with odd query strings and forms, as each role: no answer is a server's fault.

TRUST_ODD sets how many odd calls each role makes at each address.
"""

import os
from collections import Counter
from random import Random

import pytest
from django.test import Client
from django.urls import reverse

from tests.access_world import NAMES_OF, Yard, missing_names, yard_make
from tests.people import Company, signed_in
from tests.test_access_matrix import ALLOWED, PLAIN_NAMES
from tests.trust.disk import Figure, figure
from tests.trust.odd import VALUES, query_drawn

__all__ = ["figure"]
pytestmark = pytest.mark.django_db
ODD_CALLS = int(os.environ.get("TRUST_ODD", "4"))
ROLES = ("olive", "omar", "esme", "cleo", "")
ENDS_THE_VISIT = {"sign-out", "phone-link"}
ADMIN = ("/admin/", "/admin/contractor/branch/", "/admin/contractor/event/", "/admin/jobs/job/")
FORM = "application/x-www-form-urlencoded"
# What a decoder may trip over: bytes that are no UTF-8, a number too long to read.
RAW = b"name=%ff%fe&version=\xff\xfe&house=" + b"9" * 5000 + b"&condition=" + b"9" * 5000


@pytest.fixture
def yard(company: Company) -> Yard:
    return yard_make(company, company.fairfield, company.north, company.omar)


def browser_of(company: Company, role: str) -> Client:
    browser = signed_in(getattr(company, role)) if role else Client()
    browser.raise_request_exception = False
    return browser


def names_of(address: str, yard: Yard, chance: Random) -> dict[str, object]:
    """What the address is called with: mostly what is there, sometimes what is not."""
    if address in NAMES_OF:
        names = NAMES_OF[address](yard)
        return missing_names(names) if chance.random() < 0.1 else names
    return PLAIN_NAMES.get(address, {})


def call(browser: Client, url: str, chance: Random) -> tuple[str, int]:
    """Make one odd call, and return it in words with its status."""
    query = query_drawn(chance)
    if chance.random() < 0.5:
        return f"GET {url}?{query}", browser.get(f"{url}?{query}").status_code
    if chance.random() < 0.1:
        return f"POST {url} raw", browser.post(url, RAW, content_type=FORM).status_code
    form = query_drawn(chance)
    headers = {"HX-Request": "true"} if chance.random() < 0.3 else {}
    answer = browser.post(f"{url}?{query}", form, content_type=FORM, headers=headers)
    return f"POST {url}?{query} {form}", answer.status_code


@pytest.mark.usefixtures("yard")
def test_a_number_too_long_to_read_is_a_thing_that_is_not_there(company: Company) -> None:
    answer = browser_of(company, "omar").post(reverse("readiness"), RAW, content_type=FORM)
    assert answer.status_code == 404


@pytest.mark.parametrize("role", ROLES)
def test_odd_values_are_no_server_s_fault(
    company: Company, yard: Yard, role: str, figure: Figure
) -> None:
    chance, browser, faults = Random(f"odd {role}"), browser_of(company, role), []
    statuses: Counter[int] = Counter()
    for address in sorted(ALLOWED):
        if address in ENDS_THE_VISIT:
            continue
        for _ in range(ODD_CALLS):
            said, status = call(
                browser, reverse(address, kwargs=names_of(address, yard, chance)), chance
            )
            statuses[status] += 1
            if status >= 500:
                faults.append(f"{said[:300]}: {status}")
    figure(f"odd calls as {role or 'nobody'}, by status", dict(statuses))
    assert faults == []
    assert statuses.total() > 100


def test_odd_parts_of_an_address_are_no_server_s_fault(
    company: Company, yard: Yard, figure: Figure
) -> None:
    browser, faults, calls = browser_of(company, "olive"), [], 0
    for address in sorted(ALLOWED):
        if address not in NAMES_OF and address not in PLAIN_NAMES:
            continue
        names = names_of(address, yard, Random(1))
        url = reverse(address, kwargs=names)
        for part in map(str, names.values()):
            for value in VALUES[:40:3]:
                odd = url.replace(f"/{part}", f"/{value}", 1)
                calls += 1
                if browser.get(odd).status_code >= 500:
                    faults.append(f"GET {odd[:200]!r}")
    figure("odd addresses", calls)
    assert faults == []


def test_odd_filters_of_the_admin_are_no_server_s_fault(company: Company, figure: Figure) -> None:
    browser, chance, faults = browser_of(company, "olive"), Random("admin"), []
    for url in ADMIN:
        for _ in range(ODD_CALLS * 3):
            query = query_drawn(chance, ("q", "o", "p", "all", "e", "id", "branch__id__exact"))
            if browser.get(f"{url}?{query}").status_code >= 500:
                faults.append(f"GET {url}?{query[:200]}")
    figure("odd calls of the admin", len(ADMIN) * ODD_CALLS * 3)
    assert faults == []
