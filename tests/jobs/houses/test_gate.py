"""How a crew gets in at a site: typed in, imported, changed, seen by its crews and office only."""

from typing import Any

import pytest
from django.urls import reverse

from contractor.access import Scope
from contractor.models import Event
from jobs.imports.services import import_apply
from jobs.models import Job, Site
from scheduling.models import WeekVersion
from tests.jobs.sheets.samples import ATTIC, csv_of
from tests.pages import HOSTILE, inline_faults, marks, words
from tests.people import ACTOR, MONDAY, NOW, Company, job_make, signed_in, site_make
from tests.scheduling.crew_days.phones import secret_of
from tests.scheduling.houses import version_make, visit_make, work_make

pytestmark = pytest.mark.usefixtures("thursday_morning")

CODE = "Gate code 4711, key box left of the door"


@pytest.fixture
def house(company: Company) -> Job:
    job = job_make(site_make(company.fairfield), "Lot 1")
    work_make(job, {"batt": 60})
    return job


def post(user: Any, house: Job, gate_note: str = CODE) -> Any:
    return signed_in(user).post(
        reverse("job-gate", args=[house.pk]), {"gate_note": gate_note}, follow=True
    )


def test_it_is_saved_from_the_job_s_page_and_taken_away_again(company: Company, house: Job) -> None:
    page = post(company.omar, house)
    assert "The gate note is saved." in words(page)
    assert f'value="{CODE}"' in marks(page)
    event = Event.objects.get(noun="site", verb="changed")
    assert event.what == {"gate_note": ["", CODE]}
    post(company.omar, house, " ")
    assert Site.objects.get().gate_note == ""


def test_what_is_too_long_is_refused(company: Company, house: Job) -> None:
    answer = post(company.omar, house, "4" * 201)
    assert answer.status_code == 400
    assert "Gate or lock: Ensure this value has at most 200" in words(answer)
    assert Site.objects.get().gate_note == ""


def test_who_does_not_see_the_house_cannot_say_it(company: Company, house: Job) -> None:
    for user in (company.lena, company.cleo):
        assert post(user, house).status_code == 404
    assert Site.objects.get().gate_note == ""


def test_a_job_is_typed_in_with_it(company: Company) -> None:
    data = {"branch": company.fairfield.pk, "builder": "Nolan", "site": "3 Elm Row"}
    signed_in(company.esme).post("/jobs/new/", {**data, "gate_note": CODE})
    assert Site.objects.get().gate_note == CODE


def test_a_sheet_brings_it_and_an_empty_cell_leaves_it(company: Company) -> None:
    everywhere = Scope(all_branches=True)
    for note in (CODE, ""):
        sheet = csv_of({**ATTIC, "branch": "Fairfield yard", "gate_note": note})
        import_apply(content=sheet, scope=everywhere, actor=ACTOR, now=NOW)
        assert Site.objects.get().gate_note == CODE


def test_only_the_crew_that_goes_there_and_the_office_read_it(company: Company, house: Job) -> None:
    post(company.omar, house)
    version = version_make(company, WeekVersion.State.POSTED)
    other = job_make(site_make(company.fairfield, "Harbor Row"), "Lot 2")
    work_make(other, {"batt": 60})
    visit_make(version, company.north, MONDAY, house, {"batt": 60})
    visit_make(version, company.south, MONDAY, other, {"batt": 60})
    north = reverse("crew-day", args=[company.north.pk, "2027-03-01"])
    south = reverse("crew-day", args=[company.south.pk, "2027-03-01"])
    assert f"Gate or lock: {CODE}" in words(signed_in(company.cleo).get(north))
    assert CODE not in words(signed_in(company.saul).get(south))
    assert signed_in(company.saul).get(north).status_code == 404
    secret = secret_of(house)
    for address in (f"/c/{secret}/", f"/c/{secret}/{house.pk}/"):
        assert CODE not in words(signed_in(company.omar).get(address))
    read = signed_in(company.omar).get(f"/api/jobs/{house.pk}").json()
    assert read["gate_note"] == CODE


def test_hostile_words_are_only_text(company: Company, house: Job) -> None:
    assert inline_faults(post(company.omar, house, HOSTILE)) == []
