"""Pages of materials: charts by page and by sheet, errors by row and column, doubts and reasons."""

from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from contractor.models import Event, Material
from tests.pages import HOSTILE, Reply, inline_faults, marks, status_by_role, words
from tests.people import Company, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("thursday_morning")]
COLUMNS = ("r", "initial_in", "settled_in", "lb_per_ft2", "bags_per_1000_ft2", "ft2_per_bag")
GOOD = ("49", "16.47", "14", "28/15", "74.67", "")
HEAVY = ("49", "16.47", "14", "2", "74.67", "")
EMPTY = ("", "", "", "", "", "")


def table(*lines: tuple[str, ...]) -> dict[str, list[str]]:
    return {name: [line[index] for line in lines] for index, name in enumerate(COLUMNS)}


def save(company: Company, *lines: tuple[str, ...], **more: str) -> Reply:
    material = Material.objects.get(pk=company.cellulose.pk)
    data: dict[str, Any] = {**table(*lines), "version": str(material.version), **more}
    address = reverse("material-table", args=[material.pk, "chart"])
    return signed_in(company.omar).post(address, data)


def upload(company: Company, content: bytes, name: str = "chart") -> Reply:
    address = reverse("material-sheet", args=[company.cellulose.pk, name])
    sheet = SimpleUploadedFile("chart.csv", content)
    return signed_in(company.omar).post(address, {"sheet": sheet})


def page_of(company: Company, material: Material) -> Reply:
    return signed_in(company.omar).get(reverse("material", args=[material.pk]))


def test_owner_and_office_see_materials_and_nobody_else(company: Company) -> None:
    for address in (reverse("materials"), reverse("material", args=[company.cellulose.pk])):
        found = status_by_role(company, address)
        seeing = {name for name, status in found.items() if status == 200}
        assert seeing == {"olive", "omar", "lena"}


def test_the_list_names_each_material(company: Company) -> None:
    page = words(signed_in(company.omar).get(reverse("materials")))
    assert "Test cellulose cellulose loose fill 25 lb 6 invented for tests" in page


def test_a_chart_stands_as_a_table_with_what_it_lacks(company: Company) -> None:
    answer = page_of(company, company.cellulose)
    page = words(answer)
    assert "49 16.47 14 392/210 74.67" in page
    assert "R-22 is not in the chart" in page  # 16 CFR 460.12(b)(2) lists it
    assert "16 CFR 460.12" in page
    assert inline_faults(answer) == []


def test_lines_typed_on_the_page_are_kept(company: Company) -> None:
    answer = save(company, GOOD, EMPTY, ("60", "20.17", "17.14", "480/210", "91.43", ""))
    assert answer.status_code == 302
    rows = list(company.cellulose.chart.values_list("r", "lb_per_ft2"))
    assert [(int(r), weight) for r, weight in rows] == [(49, "28/15"), (60, "480/210")]
    assert Event.objects.get(verb="charted").user == company.omar


def test_what_is_wrong_is_said_by_row_and_column_and_the_typing_stays(company: Company) -> None:
    answer = save(company, GOOD, ("sixty", "20.17", "17.14", "480/210", "", ""))
    assert answer.status_code == 400
    page = words(answer)
    assert "2 r sixty expected an R-value" in page
    assert 'value="sixty"' in marks(answer)
    assert company.cellulose.chart.count() == 6


def test_a_weight_that_is_no_number_names_its_line(company: Company) -> None:
    answer = save(company, GOOD, ("60", "20.17", "17.14", "heavy", "", ""))
    assert answer.status_code == 400
    assert "Line 2, lb_per_ft2" in words(answer)


def test_a_doubtful_line_is_asked_about_and_kept_with_a_reason(company: Company) -> None:
    answer = save(company, HEAVY)
    assert answer.status_code == 400
    assert "Line 1: R-49: lb/ft2 is 2 but" in words(answer)
    assert company.cellulose.chart.count() == 6
    assert save(company, HEAVY, kept_because="the label says so").status_code == 302
    assert "the label says so" in words(page_of(company, company.cellulose))


def test_who_typed_on_an_older_page_is_told(company: Company) -> None:
    save(company, GOOD)
    answer = save(company, HEAVY, version="1")
    assert answer.status_code == 409
    assert "Somebody changed this material meanwhile" in words(answer)


def test_a_sheet_is_read_into_the_lines_and_nothing_is_kept(company: Company) -> None:
    sheet = "r,initial_in,settled_in,lb_per_ft2\n44,15,13,1.5\n"
    answer = upload(company, sheet.encode())
    assert answer.status_code == 200
    assert 'name="lb_per_ft2" value="1.5"' in marks(answer)
    assert "Nothing is kept before you save them" in words(answer)
    assert company.cellulose.chart.count() == 6
    assert not Event.objects.exists()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"r,initial_in,settled_in,lb_per_ft2\nfifty,15,13,1.5\n", "2 r fifty expected"),
        (b"r,initial,settled_in,lb_per_ft2\n49,15,13,1.5\n", "nearest is initial_in"),
        (b"%PDF-1.7", "this is another kind of file"),
        (b"", "the file is empty"),
    ],
)
def test_a_sheet_that_cannot_be_read_changes_nothing(
    company: Company, content: bytes, said: str
) -> None:
    answer = upload(company, content)
    assert answer.status_code == 400
    assert said in words(answer)
    assert company.cellulose.chart.count() == 6


def test_hostile_cells_are_words(company: Company) -> None:
    answer = save(company, (HOSTILE, "1", "1", "1", "", ""))
    assert answer.status_code == 400
    assert "<script>alert" not in marks(answer)


def test_a_material_has_the_tables_of_its_kind_only(company: Company) -> None:
    address = reverse("material-table", args=[company.batts.pk, "chart"])
    assert signed_in(company.omar).post(address, table(GOOD)).status_code == 404
    page = words(page_of(company, company.batts))
    assert "Sizes of batts" in page
    assert "Coverage chart" not in page


def test_sizes_of_batts_by_page(company: Company) -> None:
    data = {
        "version": "1",
        "r": ["19"],
        "thickness_in": ["6.25"],
        "width_in": ["15"],
        "package_ft2": ["77.5"],
    }
    address = reverse("material-table", args=[company.batts.pk, "batts"])
    assert signed_in(company.omar).post(address, data).status_code == 302
    assert str(company.batts.batts.get()) == "Test batts R-19.0, 15.000 in"


def test_facts_are_kept_by_page(company: Company) -> None:
    address = reverse("material", args=[company.cellulose.pk])
    data = {"version": "1", "name": "Better", "bag_lb": "28", "settle": "0.15"}
    assert signed_in(company.omar).post(address, data).status_code == 302
    material = Material.objects.get(pk=company.cellulose.pk)
    assert (material.name, material.bag_lb) == ("Better", Decimal(28))
    assert material.open_lb_per_ft3 is None


@pytest.mark.parametrize(
    ("data", "status", "said"),
    [
        ({"bag_lb": ""}, 400, "Loose fill needs the weight of a bag"),
        ({"bag_lb": "heavy"}, 400, "Bag, lb:"),
        ({"settle": "0.95"}, 400, "Settling: expected"),
        ({"valid_from": "2027-01-02", "valid_to": "2027-01-01"}, 400, "cannot end before"),
        ({"version": "9"}, 409, "Somebody changed this material"),
    ],
)
def test_facts_that_cannot_be_say_so(
    company: Company, data: dict[str, str], status: int, said: str
) -> None:
    address = reverse("material", args=[company.cellulose.pk])
    given = {"version": "1", "name": "Better", "bag_lb": "28", **data}
    answer = signed_in(company.omar).post(address, given)
    assert answer.status_code == status
    assert said in words(answer)
    assert Material.objects.get(pk=company.cellulose.pk).name == "Test cellulose"


def test_a_new_material_by_page(company: Company) -> None:
    data = {"name": "Our foam", "key": "our-foam", "kind": "foam_can"}
    answer = signed_in(company.omar).post(reverse("materials"), data, follow=True)
    assert "Our foam is kept." in words(answer)
    again = signed_in(company.omar).post(reverse("materials"), data)
    assert again.status_code == 400
    assert Material.objects.filter(key="our-foam").count() == 1


def test_an_estimator_changes_no_material(company: Company) -> None:
    address = reverse("material-table", args=[company.cellulose.pk, "chart"])
    assert signed_in(company.esme).post(address, table(GOOD)).status_code == 404
    assert signed_in(company.esme).post(reverse("materials"), {}).status_code == 404
