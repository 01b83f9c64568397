"""Sheets with errors: each one names its row, its column, the value and what was expected."""

import pytest

from jobs.sheets import sheet_read
from jobs.sheets.agreement import disagreements
from tests.jobs.sheets.samples import ATTIC, SLOPE, Row, csv_of, only_error, xlsx_of

SEAL = {**ATTIC, "kind": "air_seal"}

CELLS: list[tuple[Row, str, object, str]] = [
    (ATTIC, "area_ft2", "abc", "expected a number of square feet"),
    (ATTIC, "area_ft2", "-5", "more than 0"),
    (ATTIC, "area_ft2", "0", "more than 0"),
    (ATTIC, "area_ft2", "0.0001", "more than 0"),
    (ATTIC, "area_ft2", "1,500", "expected a number"),
    (ATTIC, "area_ft2", "1e5", "expected a number"),
    (ATTIC, "area_ft2", "NaN", "expected a number"),
    (ATTIC, "area_ft2", "inf", "expected a number"),
    (ATTIC, "area_ft2", "9" * 40, "expected a number"),
    (ATTIC, "area_ft2", "1000001", "at most 1000000"),
    (ATTIC, "area_ft2", "=1+1", "expected a number"),
    (ATTIC, "target_r", "R49", "R-value"),
    (ATTIC, "target_r", "500", "at most 200"),
    (ATTIC, "kind", "attic", "one of attic_flat"),
    (ATTIC, "kind", "", "expected a value"),
    (ATTIC, "builder", "", "expected a value"),
    (ATTIC, "site", " ", "expected a value"),
    (ATTIC, "space", "", "expected a value"),
    (ATTIC, "area_ft2", "", "area_ft2 for a space of kind attic_flat"),
    (ATTIC, "target_r", "", "target_r for a space of kind attic_flat"),
    (ATTIC, "builder", "=HYPERLINK(1)", "formula"),
    (ATTIC, "builder", "@SUM(A1)", "formula"),
    (ATTIC, "unit", "+cmd|' /C calc'!A0", "formula"),
    (ATTIC, "space", "-2+3", "formula"),
    (ATTIC, "builder", "x" * 121, "at most 120 characters"),
    (ATTIC, "unit", "a\x07b", "control characters"),
    (ATTIC, "unit", "a\u202eb", "control characters"),
    ({**ATTIC, "note": ""}, "note", "=1", "formula"),
    ({**ATTIC, "note": ""}, "note", "x" * 501, "at most 500"),
    ({**ATTIC, "ready_date": ""}, "ready_date", "3/5/2027", "2027-03-05"),
    ({**ATTIC, "ready_date": ""}, "ready_date", "2027-02-30", "2027-03-05"),
    ({**ATTIC, "ready_date": ""}, "ready_date", "0207-03-05", "2000 to 2099"),
    ({**ATTIC, "ready_date": ""}, "ready_date", "20270305", "2027-03-05"),
    ({**ATTIC, "year_built": ""}, "year_built", "1699", "at least 1700"),
    ({**ATTIC, "year_built": ""}, "year_built", "1950.5", "whole number"),
    ({**ATTIC, "cover": ""}, "cover", "tape", "net, board, none"),
    ({**ATTIC, "superintendent": "R", "superintendent_email": ""}, "superintendent_email",
     "rosa at hazel", "mail address"),
    ({**ATTIC, "superintendent": "R", "superintendent_phone": ""}, "superintendent_phone",
     "call me", "phone"),
    ({**ATTIC, "latitude": "41", "longitude": "-93"}, "latitude", "91", "at most 90"),
    ({**ATTIC, "latitude": "41", "longitude": "-93"}, "longitude", "-181", "at least -180"),
    ({**ATTIC, "latitude": "41", "longitude": "-93"}, "longitude", "", "latitude has one"),
    ({**ATTIC, "superintendent": "", "superintendent_email": "r@hazel.example"}, "superintendent",
     "", "superintendent_email has one"),
    (SLOPE, "bays", "2.5", "whole number of bays"),
    (SLOPE, "bays", "", "bays for a space of kind slope_bays"),
    (SLOPE, "depth_in", "", "depth_in for a space"),
    (SLOPE, "length_ft", "", "length_ft, or run_ft with pitch"),
    ({**SEAL, "length_ft": "", "count": 3}, "count", "", "length_ft, or count"),
]  # fmt: skip


@pytest.mark.parametrize(("row", "column", "value", "expected"), CELLS)
def test_a_wrong_cell_is_named(row: Row, column: str, value: object, expected: str) -> None:
    error = only_error(sheet_read(csv_of(ATTIC | {"space": "other"}, {**row, column: value})))
    assert error.row == 3
    assert error.column == column or column in str(error.expected)
    assert expected in str(error.expected)


def test_an_error_reads_as_a_sentence() -> None:
    error = only_error(sheet_read(csv_of({**ATTIC, "area_ft2": "abc"})))
    assert str(error).startswith('row 2, column area_ft2: "abc"; expected a number of square feet')


def test_all_errors_of_a_sheet_are_listed() -> None:
    bad = {**ATTIC, "area_ft2": "x", "target_r": "y", "kind": "z"}
    errors = sheet_read(csv_of(bad, ATTIC, {**bad, "space": "b"})).errors
    found = [(error.row, error.column) for error in errors]
    assert found == [(row, column) for row in (2, 4) for column in ("kind", "area_ft2", "target_r")]


def test_an_unknown_column_names_the_nearest() -> None:
    error = only_error(sheet_read(csv_of({**ATTIC, "aera_ft2": 1})))
    assert (error.row, error.column) == (1, "aera_ft2")
    assert "area_ft2" in str(error.expected)


def test_a_column_far_from_any_still_names_one() -> None:
    assert "nearest is" in str(only_error(sheet_read(csv_of({**ATTIC, "zzz": 1}))).expected)


def test_a_needed_column_that_is_missing_is_named() -> None:
    without = {name: value for name, value in ATTIC.items() if name != "site"}
    error = only_error(sheet_read(csv_of(without)))
    assert (error.row, error.column) == (1, "site")


def test_a_column_stands_once() -> None:
    content = csv_of(ATTIC).replace(b"unit", b"site")
    error = only_error(sheet_read(content))
    assert (error.row, error.column) == (1, "site")
    assert "once" in str(error.expected)


def test_a_value_beside_the_table_is_refused() -> None:
    error = only_error(sheet_read(csv_of(ATTIC).rstrip() + b",,stray\r\n"))
    assert error.row == 2
    assert "without a name" in str(error.expected)


@pytest.mark.parametrize("content", [b"", b"  \n", csv_of(ATTIC).splitlines()[0]])
def test_a_sheet_without_rows_is_refused(content: bytes) -> None:
    assert "expected" in str(only_error(sheet_read(content)))


def test_a_date_cell_where_a_number_belongs_is_refused() -> None:
    """5/8 typed into a spreadsheet becomes the eighth of May."""
    from datetime import date

    error = only_error(sheet_read(xlsx_of({**ATTIC, "board_in": date(2027, 5, 8)})))
    assert error.column == "board_in"


def test_true_is_neither_number_nor_text() -> None:
    sheet = sheet_read(xlsx_of({**ATTIC, "area_ft2": True, "unit": True}))
    assert [error.column for error in sheet.errors] == ["unit", "area_ft2"]


def contradicts(*rows: Row) -> tuple[int, str, str]:
    sheet = sheet_read(csv_of(*rows))
    assert sheet.errors == ()
    (error,) = disagreements(sheet.rows)
    return error.row, error.column, str(error.expected)


PLACE = {"latitude": "41.65", "longitude": "-93.7"}
PERSON = {"superintendent": "Rosa", "superintendent_email": "a@x.example"}


@pytest.mark.parametrize(
    ("first", "second", "column"),
    [
        (PLACE, {**PLACE, "latitude": "41.66"}, "latitude"),
        (PLACE, {**PLACE, "longitude": "-93.8"}, "longitude"),
        ({"address": "1 Lane"}, {"address": "2 Lane"}, "address"),
        ({"superintendent": "Rosa"}, {"superintendent": "Ruth"}, "superintendent"),
        (PERSON, {**PERSON, "superintendent_email": "b@x.example"}, "superintendent_email"),
        ({"ready_date": "2027-03-01"}, {"ready_date": "2027-03-02"}, "ready_date"),
        ({"year_built": "1950"}, {"year_built": "1951"}, "year_built"),
    ],
)
def test_rows_of_one_thing_agree_about_it(first: Row, second: Row, column: str) -> None:
    row, found, expected = contradicts({**ATTIC, **first}, {**SLOPE, **second})
    assert (row, found) == (3, column)
    assert "as in row 2" in expected


def test_an_empty_cell_contradicts_nothing() -> None:
    empty = dict.fromkeys(PLACE, "")
    sheet = sheet_read(csv_of({**ATTIC, **PLACE}, {**SLOPE, **empty}))
    assert disagreements(sheet.rows) == []


def test_the_same_space_twice_is_refused() -> None:
    row, column, expected = contradicts(ATTIC, ATTIC)
    assert (row, column) == (3, "space")
    assert "row 2" in expected


def test_two_builders_may_have_sites_of_one_name() -> None:
    other = {**ATTIC, **PLACE, "builder": "Oak Homes", "latitude": "42"}
    assert disagreements(sheet_read(csv_of({**ATTIC, **PLACE}, other)).rows) == []
