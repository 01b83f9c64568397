"""The office's page of checklist links: made for one's own people, shown once, closed for good."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
import time_machine

from jobs.checklists.queries import checklist_link_open, code_open
from jobs.models import ChecklistCode, ChecklistLink
from tests.jobs.estimates.built import built
from tests.pages import HOSTILE, inline_faults, marks, words
from tests.people import NOW, Company, signed_in, site_make

pytestmark = pytest.mark.usefixtures("thursday_morning")


@pytest.fixture(autouse=True)
def _thursday_morning() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


def test_a_link_and_a_code_are_shown_once(company: Company) -> None:
    job = built(company)
    office = signed_in(company.omar)
    value = f"{job.site.superintendent_id}-{company.fairfield.pk}"
    assert f'value="{value}"' in marks(office.get("/checklist-links/"))
    page = office.post("/checklist-links/make/", {"for": value})
    html = marks(page)
    found = re.search(r'value="http://[^"]*/c/([^"/]+)/"', html)
    code = re.search(r'value="([0-9A-Z]{4}-[0-9A-Z]{4})"', html)
    assert found
    assert code
    assert checklist_link_open(found[1], NOW)
    assert code_open(code[1], NOW)
    assert "no-store" in page.headers["Cache-Control"]
    listed = marks(office.get("/checklist-links/"))
    assert "2027-04-26" in listed  # sixty days on
    assert found[1] not in listed
    assert code[1] not in listed


def test_a_link_made_in_the_evening_is_of_that_day(company: Company) -> None:
    job = built(company)
    value = f"{job.site.superintendent_id}-{company.fairfield.pk}"
    office = signed_in(company.omar)
    with time_machine.travel(datetime(2027, 3, 2, 1, 30, tzinfo=UTC), tick=False):
        office.post("/checklist-links/make/", {"for": value})
        listed = words(office.get("/checklist-links/"))
    assert "2027-03-01 2027-04-30" in listed
    assert "2027-03-02" not in listed


def test_nobody_is_served_for_another_yard(company: Company) -> None:
    job = built(company)
    value = f"{job.site.superintendent_id}-{company.fairfield.pk}"
    for asked in (value, "", "x", "1-", f"{job.site.superintendent_id}-{company.lowton.pk}"):
        page = signed_in(company.lena).post("/checklist-links/make/", {"for": asked}, follow=True)
        assert "Choose a superintendent with an open house of your yard." in words(page)
    assert ChecklistLink.objects.count() == 0
    assert "nobody to give a link to" in words(signed_in(company.lena).get("/checklist-links/"))


def test_a_closed_link_opens_nothing_and_is_listed_no_more(company: Company) -> None:
    job = built(company)
    office = signed_in(company.omar)
    html = marks(office.post(f"/jobs/{job.pk}/checklist-link/"))
    code = re.findall(r'value="([0-9A-Z]{4}-[0-9A-Z]{4})"', html)[0]
    link = ChecklistLink.objects.get()
    address = f"/checklist-links/{link.pk}/close/"
    assert signed_in(company.lena).post(address).status_code == 404
    assert office.get(address).status_code == 405
    page = office.post(address, follow=True)
    assert "The link is closed." in words(page)
    assert "No link is open." in words(page)
    assert code_open(code, NOW) is None
    assert ChecklistCode.objects.count() == 1
    assert office.post(address).status_code == 404


def test_an_owner_sees_every_yard_s_and_hostile_names_are_only_text(company: Company) -> None:
    built(company)
    site = site_make(company.lowton, "Elsewhere", superintendent=HOSTILE)
    job = built(company, "Lot 9", site=site)
    owner = signed_in(company.olive)
    value = f"{job.site.superintendent_id}-{company.lowton.pk}"
    assert inline_faults(owner.post("/checklist-links/make/", {"for": value})) == []
    page = owner.get("/checklist-links/")
    assert inline_faults(page) == []
    assert "Lowton yard" in words(page)
