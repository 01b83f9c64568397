"""The import page: upload, preview, confirm; who may; what hostile hands get."""

import csv
import io
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook

from contractor.models import Event, User
from jobs.models import Job, SheetUpload
from jobs.sheets import limits, sheet_read
from jobs.sheets.columns import NAMES
from tests.jobs.imports.test_import import BOTH, FULL, everything
from tests.jobs.sheets.samples import Row, csv_of, xlsx_of
from tests.pages import marks
from tests.people import NOW, Company, signed_in

pytestmark = pytest.mark.usefixtures("thursday_morning")

PAGE = "/import/"


def upload(client: Client, content: bytes, name: str = "jobs.csv") -> Any:
    return client.post(PAGE, {"sheet": SimpleUploadedFile(name, content)})


def previewed(client: Client, *rows: Row) -> str:
    """Upload a good sheet; the address of its preview."""
    response = upload(client, csv_of(*rows))
    assert response.status_code == 302, marks(response)
    return str(response.headers["Location"])


@pytest.fixture
def omar(company: Company) -> Client:
    return signed_in(company.omar)


def test_the_page_has_a_form_without_script(omar: Client) -> None:
    page = marks(omar.get(PAGE))
    assert '<form class="fields" method="post" action="/import/" enctype="multipart' in page
    assert "<script" not in page
    assert "year_built" in page


def test_a_sheet_is_previewed_and_then_imported(omar: Client, company: Company) -> None:
    address = previewed(omar, *BOTH)
    page = marks(omar.get(address))
    assert "Jobs: 1 new, 0 changed, 0 unchanged" in page
    assert "Quarry Lane, Lot 14" in page
    assert not Job.objects.exists()
    done = marks(omar.post(address, follow=True))
    assert "Imported. Jobs: 1 new" in done
    assert Job.objects.get().site.branch == company.fairfield
    assert set(Event.objects.values_list("who", "source")) == {("Omar", "import")}
    assert not SheetUpload.objects.exists()


def test_a_preview_shows_before_and_after(omar: Client) -> None:
    omar.post(previewed(omar, *BOTH))
    later = [{**row, "ready_date": "2027-03-08"} for row in BOTH]
    address = previewed(omar, {**later[0], "area_ft2": 1600}, later[1])
    page = " ".join(marks(omar.get(address)).split())
    assert "<td>area_ft2</td><td>1500</td><td>1600</td>" in page
    assert "<td>ready_date</td><td>2027-03-01</td><td>2027-03-08</td>" in page


def test_a_workbook_is_taken_whatever_its_name(omar: Client) -> None:
    assert upload(omar, xlsx_of(FULL), "jobs.csv").status_code == 302


def test_errors_are_shown_by_row_and_column_and_nothing_is_kept(omar: Client) -> None:
    before = everything()
    response = upload(omar, csv_of({**FULL, "area_ft2": "abc"}))
    page = marks(response)
    assert response.status_code == 400
    assert '<td class="n">2</td><td>area_ft2</td><td>abc</td><td>expected a number' in page
    assert everything() == before


def test_many_errors_are_counted_and_the_first_are_shown(omar: Client) -> None:
    rows = [{**FULL, "unit": str(n), "area_ft2": "x", "target_r": "y"} for n in range(200)]
    page = upload(omar, csv_of(*rows)).content.decode()
    assert "jobs.csv has 400 errors" in page
    assert "and 100 more" in page


@pytest.mark.parametrize(
    "content",
    [b"", b"%PDF-1.7", b"\x00" * 40, b"a" * (limits.MOST_BYTES + 1), b"builder\n=1+1\n"],
)
def test_hostile_files_get_a_reason_and_change_nothing(omar: Client, content: bytes) -> None:
    before = everything()
    response = upload(omar, content)
    assert response.status_code == 400
    assert "xpected" in marks(response)
    assert everything() == before


def test_no_file_at_all_is_asked_for(omar: Client) -> None:
    response = omar.post(PAGE, {})
    assert response.status_code == 400
    assert "Choose the sheet first" in marks(response)


def test_what_a_sheet_says_is_shown_as_text(omar: Client) -> None:
    nasty = "<script>alert(1)</script>"
    page = marks(omar.get(previewed(omar, {**FULL, "unit": nasty})))
    assert nasty not in page
    assert "&lt;script&gt;" in page
    bad = upload(omar, csv_of({**FULL, "area_ft2": nasty}), f"{nasty}.csv").content.decode()
    assert nasty not in bad


def test_the_sheet_is_looked_at_again_when_it_is_confirmed(omar: Client) -> None:
    omar.post(previewed(omar, FULL))
    address = previewed(omar, {**FULL, "area_ft2": 1600})
    Job.objects.update(state="finished")
    before = everything()
    response = omar.post(address)
    assert response.status_code == 400
    assert "expected no change" in marks(response)
    assert everything() == before


def test_confirming_twice_imports_once(omar: Client) -> None:
    address = previewed(omar, FULL)
    omar.post(address)
    events = Event.objects.count()
    again = omar.post(address)
    assert again.status_code == 404
    assert "Upload it again" in marks(again)
    assert (Job.objects.count(), Event.objects.count()) == (1, events)


def test_a_kept_sheet_expires_and_goes(omar: Client, company: Company) -> None:
    with time_machine.travel(NOW, tick=False):
        address = previewed(omar, FULL)
    with time_machine.travel(NOW + timedelta(minutes=61), tick=False):
        omar = signed_in(company.omar)
        assert omar.get(address).status_code == 404
        assert omar.post(address).status_code == 404
        previewed(omar, FULL)
    assert SheetUpload.objects.count() == 1
    assert not Job.objects.exists()


@pytest.mark.parametrize("who", ["olive", "lena", "esme"])
@pytest.mark.parametrize("method", ["get", "post"])
def test_somebody_elses_sheet_is_not_there(
    omar: Client, company: Company, who: str, method: str
) -> None:
    address = previewed(omar, FULL)
    other = signed_in(getattr(company, who))
    answer = getattr(other, method)(address)
    missing = getattr(other, method)(f"{PAGE}{uuid4()}/")
    assert answer.status_code == missing.status_code == 404
    assert "Quarry" not in marks(answer)
    assert not Job.objects.exists()


def test_an_office_imports_into_its_own_branch_only(company: Company) -> None:
    response = upload(signed_in(company.lena), csv_of(FULL))
    page = marks(response)
    assert response.status_code == 400
    assert "expected one of Lowton yard" in page


def addresses() -> list[str]:
    return [PAGE, reverse("import-blank", args=["csv"]), f"{PAGE}{uuid4()}/"]


@pytest.mark.parametrize("method", ["get", "post"])
def test_a_crew_lead_finds_nothing_here(company: Company, method: str) -> None:
    for address in addresses():
        assert getattr(signed_in(company.cleo), method)(address).status_code == 404


@pytest.mark.parametrize("method", ["get", "post"])
def test_nobody_is_sent_to_sign_in(db: None, method: str) -> None:
    for address in addresses():
        response = getattr(Client(), method)(address)
        assert response.status_code == 302
        assert response.headers["Location"].startswith("/sign-in/")


def test_a_person_who_left_cannot_import(company: Company) -> None:
    client = signed_in(company.omar)
    User.objects.filter(pk=company.omar.pk).update(is_active=False)
    assert client.get(PAGE).status_code == 302


def test_a_form_from_elsewhere_is_refused(company: Company) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(company.omar, backend="django.contrib.auth.backends.ModelBackend")
    assert upload(client, csv_of(FULL)).status_code == 403


def test_the_blank_sheet_can_be_had_and_imported(omar: Client) -> None:
    """Read by csv of the standard library and by openpyxl, not by our own reader."""
    as_csv = omar.get("/import/blank.csv")
    assert 'filename="jobs.csv"' in as_csv.headers["Content-Disposition"]
    lines = list(csv.reader(io.StringIO(as_csv.content.decode("utf-8-sig"))))
    as_xlsx = omar.get("/import/blank.xlsx").content
    rows = list(load_workbook(io.BytesIO(as_xlsx)).active.values)
    assert lines[0] == list(rows[0]) == list(NAMES)
    assert len(lines) == len(rows) == 3
    for content in (as_csv.content, as_xlsx):
        assert sheet_read(content).errors == ()
        assert upload(omar, content).status_code == 302


def test_methods_that_mean_nothing_here_are_refused(omar: Client) -> None:
    assert omar.put(PAGE).status_code == 405
    assert omar.post("/import/blank.csv").status_code == 405
