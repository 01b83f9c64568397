"""Who lives in a house: typed in, imported, shown to who may see the house, changed once."""

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from contractor.access import Scope
from contractor.models import Event
from jobs.checklists.services.link import checklist_link_make
from jobs.imports.services import ImportRefused, import_apply
from jobs.models import Job
from tests.jobs.sheets.samples import ATTIC, SLOPE, csv_of
from tests.pages import words
from tests.people import ACTOR, NOW, Company, job_make, signed_in, site_make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("thursday_morning")]

OWNER = {
    "owner_name": "Ida Nolan",
    "owner_email": "ida@example.com",
    "owner_phone": "515-555-0177",
    "owner_language": "es",
}
EVERYWHERE = Scope(all_branches=True)


@pytest.fixture
def house(company: Company) -> Job:
    return job_make(site_make(company.fairfield), year_built=1938)


def post(user: Any, house: Job, **data: Any) -> Any:
    given = {**OWNER, "version": house.version, **data}
    return signed_in(user).post(reverse("job-owner", args=[house.pk]), given, follow=True)


def owner_of(job: Job) -> dict[str, str]:
    return dict(Job.objects.values(*OWNER).get(pk=job.pk))


def test_an_owner_is_kept_and_shown_at_the_house(company: Company, house: Job) -> None:
    page = words(post(company.esme, house))
    assert "The owner of the house is saved." in page
    assert "Ida Nolan 515-555-0177 · ida@example.com · Español" in page
    assert owner_of(house) == OWNER
    event = Event.objects.get(noun="job", verb="changed")
    assert event.what["owner_phone"] == ["", "515-555-0177"]


def test_empty_fields_take_the_owner_away(company: Company, house: Job) -> None:
    post(company.esme, house)
    house.refresh_from_db()
    nobody = dict.fromkeys(OWNER, "")
    post(company.omar, house, **nobody)
    assert owner_of(house) == {**nobody, "owner_language": "en"}


@pytest.mark.parametrize(
    ("data", "status", "said"),
    [
        ({"owner_name": " "}, 400, "Owner of the house: Say whose mail or phone it is."),
        ({"owner_email": "ida"}, 400, "Owner's e-mail: Enter a valid email address."),
        ({"owner_phone": "5" * 31}, 400, "Owner's phone: Ensure this value has at most 30"),
        ({"owner_language": "fr"}, 400, "Owner's language: Select a valid choice."),
        ({"version": "99"}, 409, "Somebody changed this job meanwhile."),
    ],
)
def test_a_wrong_owner_is_refused_by_field_and_changes_nothing(
    company: Company, house: Job, data: dict[str, str], status: int, said: str
) -> None:
    before = owner_of(house)
    answer = post(company.omar, house, **data)
    assert answer.status_code == status
    assert said in words(answer)
    assert owner_of(house) == before


def test_the_row_itself_refuses_a_mail_without_a_name(company: Company, house: Job) -> None:
    house.owner_email = "ida@example.com"
    with pytest.raises(ValidationError):
        house.full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        house.save()


def test_who_does_not_see_the_house_does_not_see_its_owner(company: Company, house: Job) -> None:
    post(company.omar, house)
    assert post(company.lena, house).status_code == 404
    link, secret = checklist_link_make(
        superintendent=house.site.superintendent,  # type: ignore[arg-type]
        branch=company.fairfield,
        actor=ACTOR,
        now=NOW,
    )
    assert link.pk
    for user in (company.lena, company.cleo):
        assert b"Ida Nolan" not in signed_in(user).get(reverse("job", args=[house.pk])).content
    page = signed_in(company.lena).get(reverse("checklist", args=[secret]))
    assert "Ida Nolan" not in words(page)


def test_a_job_is_typed_in_with_its_owner(company: Company) -> None:
    data = {"branch": company.fairfield.pk, "builder": "Nolan", "site": "3 Elm Row", **OWNER}
    signed_in(company.esme).post("/jobs/new/", data)
    assert owner_of(Job.objects.get()) == OWNER
    wrong = signed_in(company.esme).post("/jobs/new/", {**data, "unit": "b", "owner_name": ""})
    assert wrong.status_code == 400
    assert "Owner of the house: Say whose mail or phone it is." in words(wrong)


def test_a_sheet_brings_owners_of_which_its_rows_must_agree(company: Company) -> None:
    row = {**ATTIC, "branch": "Fairfield yard", **OWNER}
    import_apply(content=csv_of(row), scope=EVERYWHERE, actor=ACTOR, now=NOW)
    assert owner_of(Job.objects.get()) == OWNER
    plan = import_apply(content=csv_of(row), scope=EVERYWHERE, actor=ACTOR, now=NOW)
    assert [job.state for job in plan.jobs] == ["unchanged"]
    other = {**row, **SLOPE, "owner_phone": "515-555-0178"}
    nameless = {**row, "unit": "b", "owner_name": ""}
    with pytest.raises(ImportRefused) as refusal:
        import_apply(content=csv_of(row, other, nameless), scope=EVERYWHERE, actor=ACTOR, now=NOW)
    errors = [str(error) for error in refusal.value.plan.errors]
    assert any("owner_phone" in error and "as in row 2" in error for error in errors)
    assert any("owner_name" in error and "since owner_email has one" in error for error in errors)


def test_the_api_tells_the_owner_to_who_sees_the_house(company: Company, house: Job) -> None:
    post(company.omar, house)
    found = signed_in(company.omar).get(f"/api/jobs/{house.pk}").json()
    assert {name: found[name] for name in OWNER} == OWNER
    assert signed_in(company.lena).get(f"/api/jobs/{house.pk}").status_code == 404
