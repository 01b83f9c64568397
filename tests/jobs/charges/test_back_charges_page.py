"""The page, the sheet and the API of back-charges, and the form that makes them."""

from datetime import UTC, datetime
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from openpyxl import load_workbook
from PIL import Image

from contractor.models import Photo
from jobs.charges.services import condition_take_over
from jobs.charges.sheet import typed
from jobs.conditions.states import Grounds
from jobs.estimating.taken_over import Taken
from jobs.models import BackCharge, Condition, Job
from jobs.readiness.services.condition import condition_move
from tests.jobs.estimates.built import built
from tests.pages import words
from tests.people import ACTOR, NOW, Company, signed_in

PAGE = "back-charges"


def chase(job: Job) -> Condition:
    return job.conditions.get(code="chases_capped")


def take(job: Job, amount: int = 12, **more: Any) -> BackCharge:
    condition = chase(job)
    return condition_take_over(
        condition_id=condition.pk,
        version=condition.version,
        taken=Taken("chase", Decimal(amount)),
        **{"agreed_by": "Rosa Reyes", "actor": ACTOR, "now": NOW, **more},
    )


def post(company: Company, job: Job, **fields: Any) -> Any:
    condition = chase(job)
    data = {"version": condition.version, "to_state": "taken_over", "agreed_by": "Rosa"} | fields
    address = reverse("condition-move", args=[job.pk, condition.pk])
    return signed_in(company.omar).post(address, data, follow=True)


def photo() -> SimpleUploadedFile:
    content = BytesIO()
    picture = Image.new("RGB", (40, 30), "grey")
    exif = Image.Exif()
    exif[0x010F] = "a maker of phones"
    picture.save(content, "JPEG", exif=exif)
    return SimpleUploadedFile("chase.jpg", content.getvalue(), "image/jpeg")


def test_the_office_takes_over_with_a_photo_made_anew(company: Company) -> None:
    job = built(company)
    page = post(company, job, amount="12.5", flues="1", inspect_again="1", photo=photo())
    assert page.status_code == 200
    charge = BackCharge.objects.get()
    assert (charge.amount, charge.flues, charge.inspect_again) == (Decimal("12.5"), 1, True)
    kept = Image.open(BytesIO(bytes(Photo.objects.get().content)))
    assert charge.photo == Photo.objects.get()
    assert (kept.format, dict(kept.getexif())) == ("JPEG", {})
    assert "chases capped for the builder" in words(page)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({}, "How much: expected more than 0"),
        ({"amount": "-3"}, "How much"),
        ({"amount": "many"}, "How much"),
        ({"amount": "5000"}, "How much: expected 0 to 2,000"),
        ({"amount": "3", "flues": "99"}, "Flues and chimneys"),
        ({"amount": "3", "agreed_by": " "}, "Who agreed"),
        ({"amount": "3", "length_ft": "4"}, "Feet of one bay: expected none"),
        ({"amount": "3", "photo": SimpleUploadedFile("a.svg", b"<svg/>")}, "Photo"),
    ],
)
def test_bad_input_names_its_field_and_changes_nothing(
    company: Company, fields: dict[str, Any], sentence: str
) -> None:
    job = built(company)
    page = post(company, job, **fields)
    assert page.status_code == 400
    assert sentence in words(page)
    assert chase(job).state == "owed"
    assert not BackCharge.objects.exists()
    assert not Photo.objects.exists()


def test_the_form_asks_by_the_measure_of_the_catalogue(company: Company) -> None:
    job = built(company)
    page = words(signed_in(company.omar).get(reverse("job", args=[job.pk])))
    assert "Square feet of open chase or soffit" in page
    assert "never foam" in page


def test_sums_by_builder_and_month_leave_out_what_is_struck(company: Company) -> None:
    take(built(company, "Lot 1"))
    take(built(company, "Lot 2"), 6)
    undone = built(company, "Lot 3")
    take(undone)
    condition_move(
        condition_id=chase(undone).pk,
        version=chase(undone).version,
        to_state="owed",
        grounds=Grounds(reason="They do it"),
        actor=ACTOR,
        now=NOW,
    )
    office = signed_in(company.omar)
    page = words(office.get(reverse(PAGE)))
    # 72 and 36 minutes at 38 dollars an hour: 45.60 + 22.80.
    assert "Hazel Homes 2027-02 2 1.8 $68.40" in page
    assert "They do it" not in page
    struck = words(office.get(reverse(PAGE), {"struck": "1"}))
    assert "Struck (command tests): “They do it”" in struck
    assert "Together $68.40" in struck
    assert "No back-charge fits" in words(office.get(reverse(PAGE), {"month": "2027-03"}))


def test_nonsense_in_the_address_is_left_out(company: Company) -> None:
    take(built(company))
    query = {"builder": "x", "month": "2027-13", "job": "-1", "struck": "maybe", "page": "z"}
    assert "$45.60" in words(signed_in(company.omar).get(reverse(PAGE), query))


def test_a_branch_sees_its_own_and_estimators_and_leads_see_none(company: Company) -> None:
    take(built(company))
    assert "$45.60" not in words(signed_in(company.lena).get(reverse(PAGE)))
    for user in (company.esme, company.cleo):
        for name in (PAGE, "back-charges-sheet"):
            assert signed_in(user).get(reverse(name)).status_code == 404


def test_the_sheet_holds_no_formula(company: Company) -> None:
    take(built(company), agreed_by="=HYPERLINK(1)", note="@SUM(A1)")
    answer = signed_in(company.omar).get(reverse("back-charges-sheet"))
    sheet = load_workbook(BytesIO(answer.content)).active
    head = [cell.value for cell in sheet[1]]
    row = dict(zip(head, sheet[2], strict=True))
    assert (row["agreed_by"].value, row["note"].value) == ("'=HYPERLINK(1)", "'@SUM(A1)")
    assert {cell.data_type for line in sheet for cell in line} <= {"s", "inlineStr", "n", "d"}
    assert (row["dollars"].value, row["month"].value) == (45.6, "2027-02")
    assert [typed(text) for text in ("+1", "-1", "=1", "Rosa")] == ["'+1", "'-1", "'=1", "Rosa"]


def test_a_charge_is_struck_on_the_yard_s_day(company: Company) -> None:
    charge = take(built(company))
    late = datetime(2027, 3, 2, 1, 30, tzinfo=UTC)  # half past seven on Monday evening in Chicago
    BackCharge.objects.filter(pk=charge.pk).update(struck_at=late, struck_reason="They do it")
    content = signed_in(company.omar).get(reverse("back-charges-sheet"), {"struck": "1"}).content
    head, row = load_workbook(BytesIO(content)).active.iter_rows(values_only=True)
    assert dict(zip(head, row, strict=True))["struck"] == datetime(2027, 3, 1)  # noqa: DTZ001


def test_the_api_gives_whole_cents_and_filters(company: Company) -> None:
    charge = take(built(company))
    office = signed_in(company.omar)
    address = reverse("api-back-charge-list")
    (line,) = office.get(address, {"struck": "false"}).json()["results"]
    assert (line["cents"], line["condition"], line["builder"]) == (
        4560,
        "chases_capped",
        "Hazel Homes",
    )
    assert office.get(address, {"struck": "true"}).json()["results"] == []
    assert office.get(address, {"taken_from": "2027-03-01"}).json()["results"] == []
    one = reverse("api-back-charge-detail", args=[charge.pk])
    assert signed_in(company.lena).get(one).status_code == 404
    assert office.post(one).status_code == 405


def test_the_page_asks_as_much_for_many_as_for_one(company: Company) -> None:
    office = signed_in(company.omar)

    def statements() -> int:
        with CaptureQueriesContext(connection) as asked:
            office.get(reverse(PAGE))
        return len(asked)

    take(built(company, "Lot 1"))
    one = statements()
    for number in range(2, 6):
        take(built(company, f"Lot {number}"))
    assert statements() == one
