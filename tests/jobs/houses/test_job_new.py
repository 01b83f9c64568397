"""Typing in a new job: what must be said, what is found again, what is refused."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from contractor.models import Event
from jobs.models import Builder, Job, Site, Superintendent
from tests.pages import HOSTILE, inline_faults, marks, status_by_role, words
from tests.people import Company, job_make, signed_in, site_make

pytestmark = pytest.mark.usefixtures("thursday_morning")

PAGE = "/jobs/new/"
WHOLE = {
    "builder": "Hazel Homes",
    "site": "Quarry Lane 1",
    "unit": "Lot 7",
    "address": "1 Quarry Lane",
    "latitude": "41.65",
    "longitude": "-93.7",
    "year_built": "1952",
    "ready_date": "2027-03-01",
    "promised_date": "2027-03-12",
    "superintendent": "Rosa Reyes",
    "superintendent_email": "rosa@hazel.example",
    "superintendent_phone": "515-555-0142",
}


def post(company: Company, user: Any = None, **data: str) -> Any:
    given = {"branch": str(company.fairfield.pk), **data}
    return signed_in(user or company.esme).post(PAGE, given, follow=True)


def test_who_sees_the_page(company: Company) -> None:
    assert reverse("job-new") == PAGE
    assert status_by_role(company, PAGE) == {
        "olive": 200,
        "omar": 200,
        "esme": 200,
        "cleo": 404,
        "saul": 404,
        "lena": 200,
        "lars": 404,
        "nobody": 302,
    }


def test_builder_and_site_are_enough(company: Company) -> None:
    answer = post(company, builder="Alder Builders", site="Mill Street 4")
    page = words(answer)
    assert "Mill Street 4 is made. Now measure its spaces." in page
    assert "What is to be measured?" in page
    job = Job.objects.get()
    assert (job.site.name, job.site.builder.name) == ("Mill Street 4", "Alder Builders")
    assert (job.site.branch, job.unit, job.ready_date) == (company.fairfield, "", None)
    assert Event.objects.filter(noun="job", verb="created", user=company.esme).exists()


def test_everything_that_is_said_is_kept(company: Company) -> None:
    post(company, **WHOLE)
    job = Job.objects.get()
    site = job.site
    assert (job.unit, job.year_built) == ("Lot 7", 1952)
    assert (job.ready_date, job.promised_date) == (date(2027, 3, 1), date(2027, 3, 12))
    assert (site.latitude, site.longitude) == (Decimal("41.65"), Decimal("-93.7"))
    assert site.superintendent is not None
    assert site.superintendent.phone == "515-555-0142"


def test_a_builder_and_a_site_that_are_there_are_taken(company: Company) -> None:
    site = site_make(company.fairfield)
    job_make(site, "Lot 1")
    post(company, builder=" hazel  HOMES ", site="Quarry  Lane 1", unit="Lot 2")
    assert (Builder.objects.count(), Site.objects.count(), Superintendent.objects.count()) == (
        1,
        1,
        1,
    )
    job = Job.objects.get(unit="Lot 2")
    assert job.site == site
    assert job.site.address == "1 Quarry Lane"  # what is left empty stays as it was


def test_names_that_are_there_are_offered_of_one_s_own_branch_only(company: Company) -> None:
    site_make(company.fairfield)
    site_make(company.lowton, "Far Street", builder="Far Builders", superintendent="Fay Far")
    page = marks(signed_in(company.esme).get(PAGE))
    assert '<option value="Hazel Homes">' in page
    assert '<option value="Quarry Lane 1" label="Hazel Homes">' in page
    assert '<option value="Rosa Reyes">' in page
    assert "Far Street" not in page
    assert "Fay Far" not in page


def test_an_owner_chooses_the_branch_and_others_have_theirs(company: Company) -> None:
    assert "Lowton yard" in words(signed_in(company.olive).get(PAGE))
    post(company, company.olive, branch=str(company.lowton.pk), builder="B", site="S")
    assert Job.objects.get().site.branch == company.lowton
    answer = post(company, branch=str(company.lowton.pk), builder="B", site="Elsewhere")
    assert answer.status_code == 400
    assert Job.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"builder": ""}, "Builder: This field is required."),
        ({"site": "  "}, "Site: This field is required."),
        ({"builder": "x" * 121}, "Builder: Ensure this value has at most 120 characters"),
        ({"longitude": ""}, "Longitude: Give both latitude and longitude, or neither."),
        ({"latitude": "91"}, "Latitude: Ensure this value is less than or equal to 90."),
        ({"latitude": "north"}, "Latitude: Enter a number."),
        ({"year_built": "52"}, "Year built: Ensure this value is greater than or equal to 1700."),
        ({"ready_date": "soon"}, "The builder says it will be ready: Enter a valid date."),
        ({"promised_date": "0027-03-01"}, "0027-03-01 is too far off"),
        ({"superintendent": ""}, "Superintendent: Say whose mail or phone it is."),
        ({"superintendent_email": "rosa"}, "E-mail: Enter a valid email address."),
        ({"unit": "Lot 1"}, "Unit: This site has a job of that unit already."),
    ],
)
def test_what_is_refused_names_its_field_and_makes_nothing(
    company: Company, changes: dict[str, str], said: str
) -> None:
    job_make(site_make(company.fairfield), "Lot 1")
    answer = post(company, **{**WHOLE, **changes})
    assert answer.status_code == 400
    page = words(answer)
    assert "Nothing was changed." in page
    assert said in page
    assert 'value="1952"' in marks(answer) or "year_built" in changes
    assert (Job.objects.count(), Event.objects.count()) == (1, 0)


def test_a_second_job_of_a_site_without_units_is_asked_for_its_unit(company: Company) -> None:
    post(company, builder="B", site="S")
    answer = post(company, builder="B", site="S")
    assert answer.status_code == 400
    assert "Unit: This site has a job already. To make a second one, say its lot" in words(answer)
    assert Job.objects.count() == 1


def test_hostile_words_are_only_text(company: Company) -> None:
    answer = post(company, builder=HOSTILE, site=HOSTILE, unit="", latitude="x")
    assert answer.status_code == 400
    assert inline_faults(answer) == []
    assert "<script>alert" not in marks(answer)
    post(company, builder=HOSTILE[:100], site=HOSTILE[:100])
    assert inline_faults(signed_in(company.esme).get(PAGE)) == []


def test_the_list_of_jobs_leads_there(company: Company) -> None:
    page = marks(signed_in(company.esme).get(reverse("job-list")))
    assert f'href="{PAGE}"' in page
