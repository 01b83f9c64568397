"""The catalogue out to a sheet and back: the same again, errors by cell, all or nothing."""

import csv
import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from contractor.events import Actor
from contractor.models import Event
from jobs.catalogue.queries import catalogue_entries
from jobs.catalogue.services.entries import CatalogueRefused, catalogue_change
from jobs.catalogue.services.sheet import CatalogueSheetRefused, CatalogueTaken, catalogue_import
from jobs.conditions.seed import ENTRIES, SEED
from jobs.desk.services import Stale
from jobs.models import CatalogueItem
from jobs.sheets.catalogue import NAMES, catalogue_read
from tests.pages import Reply, words
from tests.people import ACTOR, NOW, Company, signed_in

pytestmark = pytest.mark.django_db
OWN = b"name,owed_by,gate,holds,consequence,source,code\n"


def take(content: bytes, actor: Actor = ACTOR) -> CatalogueTaken:
    return catalogue_import(content=content, actor=actor, now=NOW)


def refusals(content: bytes) -> list[str]:
    with pytest.raises(CatalogueSheetRefused) as caught:
        take(content)
    assert catalogue_entries() == SEED
    assert not Event.objects.exists()
    return [str(error) for error in caught.value.errors]


def upload(company: Company, content: bytes) -> Reply:
    sheet = SimpleUploadedFile("catalogue.csv", content)
    return signed_in(company.omar).post(reverse("catalogue-import"), {"sheet": sheet})


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_what_goes_out_comes_back_the_same(company: Company, form: str) -> None:
    answer = signed_in(company.esme).get(reverse("catalogue-sheet", args=[form]))
    assert f'filename="catalogue.{form}"' in answer.headers["Content-Disposition"]
    assert take(answer.content) == CatalogueTaken(new=0, changed=0, unchanged=len(SEED))
    assert catalogue_entries() == SEED
    assert not Event.objects.exists()


def test_the_csv_is_read_by_any_reader(company: Company) -> None:
    """RFC 4180, by the standard library's reader."""
    answer = signed_in(company.omar).get(reverse("catalogue-sheet", args=["csv"]))
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert [row["code"] for row in rows] == [entry.code for entry in SEED]
    chase = next(row for row in rows if row["code"] == "chases_capped")
    assert (chase["may_take_over"], chase["measure"], chase["lead_days"]) == ("yes", "chase", "1")
    assert chase["holds"] == "batt, dense_fill, slope_blow, flat_blow"


def test_only_the_columns_of_the_sheet_are_changed() -> None:
    found = take(b"code,lead_days\nroof_dried_in,9\ntruck_access,0\n")
    assert found == CatalogueTaken(new=0, changed=1, unchanged=1)
    item = CatalogueItem.objects.get(code="roof_dried_in")
    assert (item.lead_days, item.name) == (9, ENTRIES["roof_dried_in"].name)


def test_a_row_without_a_code_is_a_new_entry_and_one_is_retired() -> None:
    own = b"dumpster on site,builder,block,flat_blow;batt,Old fill has nowhere to go.,ours,\n"
    assert take(OWN + own) == CatalogueTaken(new=1, changed=0, unchanged=0)
    assert CatalogueItem.objects.get(code="dumpster_on_site").holds == ["batt", "flat_blow"]
    take(b"code,retired\ndumpster_on_site,yes\n")
    assert CatalogueItem.objects.get(code="dumpster_on_site").retired


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "the file: expected a sheet; the file is empty"),
        (b"name\nx\n", 'row 1, column code: ""; expected this column; it is missing'),
        (b"code,lede_days\nx,1\n", "the nearest is lead_days"),
        (b"code,lead_days\ntruck_access,soon\n", 'row 2, column lead_days: "soon"; expected a'),
        (b"code,lead_days\ntruck_access,1,dog\n", "nothing in a column without a name"),
        (b"code,gate\ntruck_access,hard\n", 'row 2, column gate: "hard"; expected one of stop'),
        (b"code,name\ntruck_access,\n", 'row 2, column name: ""; expected a value'),
        (b"code,name\ntruck_access,=1+1\n", "not one that a sheet would take for a formula"),
        (b'code,holds\ntruck_access,"paint"\n', "parted by commas"),
        (b"code,booked\ntruck_access,maybe\n", "expected one of yes, no"),
        (b"code,lead_days\ntruck_access,1\ntruck_access,2\n", "row 2 is the same"),
        (b"code,lead_days\nno such,1\n", 'row 2, column name: ""; a new entry needs this column'),
        (b"code,gate\nlead_rule,warn\n", "this is a rule of law, and nobody may weaken it"),
        (b"code,retired\ncombustion_test,yes\n", "this stop is about safety, and nobody may"),
        (b"code,name\ntruck_access,permit issued\n", "Another condition of the catalogue"),
        (b"code,valid_hours\nhouse_empty_for_foam,25\n", "column valid_hours"),
    ],
)
def test_each_fault_is_told_at_its_cell_and_nothing_is_changed(
    content: bytes, expected: str
) -> None:
    assert any(expected in error for error in refusals(content)), refusals(content)


def test_one_bad_row_keeps_the_good_ones_out() -> None:
    errors = refusals(b"code,lead_days,gate\nroof_dried_in,9,block\nwalk_boards,5,close\n")
    assert errors == [
        'row 3, column gate: "close"; this stop is about safety, and nobody may weaken it'
    ]


def test_all_faults_are_told_at_once() -> None:
    sheet = catalogue_read(b"code,lead_days,gate\na,x,y\nb,-1,block\n")
    assert [(error.row, error.column) for error in sheet.errors] == [
        (2, "gate"),
        (2, "lead_days"),
        (3, "lead_days"),
    ]


def test_the_page_shows_the_faults_by_cell(company: Company) -> None:
    answer = upload(company, b"code,gate\nlead_rule,warn\n")
    assert answer.status_code == 400
    page = words(answer)
    assert "Nothing was changed." in page
    assert "2 gate warn this is a rule of law, and nobody may weaken it" in page
    good = upload(company, b"code,lead_days\nroof_dried_in,9\n")
    assert good.status_code == 302
    assert Event.objects.get(noun="catalogueitem").source == Event.Source.IMPORT
    none = signed_in(company.omar).post(reverse("catalogue-import"))
    assert none.status_code == 400


def test_a_change_at_the_same_moment_is_told(
    company: Company, monkeypatch: pytest.MonkeyPatch
) -> None:
    def quicker(**_: object) -> None:
        raise Stale(CatalogueItem.objects.get(code="truck_access"))

    monkeypatch.setattr("jobs.catalogue.views.sheet.catalogue_import", quicker)
    answer = upload(company, b"code,lead_days\nroof_dried_in,9\n")
    assert answer.status_code == 409
    assert "at the same moment" in words(answer)


def test_an_estimator_does_not_import(company: Company) -> None:
    with pytest.raises(CatalogueRefused):
        take(b"code,lead_days\nroof_dried_in,9\n", Actor.of_user(company.esme))


def test_words_that_a_sheet_would_run_stay_out_of_the_catalogue() -> None:
    item = CatalogueItem.objects.get(code="truck_access")
    with pytest.raises(Exception, match="formula"):
        catalogue_change(
            item_id=item.pk, version=1, values={"name": "=HYPERLINK(1)"}, actor=ACTOR, now=NOW
        )


def test_every_field_of_an_entry_has_its_column() -> None:
    fields = {field.name for field in CatalogueItem._meta.fields}
    assert set(NAMES) == fields - {"id", "position", "version"}
