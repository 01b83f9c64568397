"""Tables of a material: what is read, and what is refused by row and column."""

from decimal import Decimal

import pytest

from jobs.sheets.cells import Raw
from jobs.sheets.tables import COLUMNS_OF, MOST_TABLE_ROWS, Table, table_of, table_read

CHART = "r,initial_in,settled_in,lb_per_ft2,bags_per_1000_ft2\n"


def read(text: str, name: str = "chart") -> Table:
    return table_read(text.encode(), name)


def errors(table: Table) -> list[tuple[int, str]]:
    return [(error.row, error.column) for error in table.errors]


def test_a_chart_is_read_with_its_fractions_as_written() -> None:
    table = read(CHART + "49,16.47,14,28/15,74.67\n")
    assert table.errors == ()
    (row,) = table.rows
    assert row.number == 2
    assert row.values == {
        "r": Decimal("49.0"),
        "initial_in": Decimal("16.47"),
        "settled_in": Decimal("14.00"),
        "lb_per_ft2": "28/15",
        "bags_per_1000_ft2": Decimal("74.67"),
    }


def test_a_number_cell_is_a_weight_too() -> None:
    cells: list[list[Raw]] = [["r", "initial_in", "settled_in", "lb_per_ft2"], [30, 10, 8.5, 1.143]]
    assert table_of(cells, "chart").rows[0].values["lb_per_ft2"] == "1.143"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("cavity", "depth_in,r,lb_per_ft3\n9.25,32,3.5\n"),
        ("batts", "r,thickness_in,width_in,package_ft2\n19,6.25,15,77.5\n"),
    ],
)
def test_the_other_tables(name: str, text: str) -> None:
    table = read(text, name)
    assert table.errors == ()
    assert list(table.rows[0].values) == [column.name for column in COLUMNS_OF[name]]


def test_headers_in_any_order_and_case_and_empty_rows_are_welcome() -> None:
    table = read("LB_PER_FT2,settled_in,initial_in,R\n,,,\n2,14,16,49\n")
    assert table.errors == ()
    assert table.rows[0].number == 3


def test_every_error_names_row_and_column() -> None:
    table = read(CHART + "49,16,14,2,75\nfifty,16,,2,\n60,16,14,2,-1\n49,16,14,2,\n")
    assert errors(table) == [(3, "r"), (3, "settled_in"), (4, "bags_per_1000_ft2"), (5, "r")]
    said = [str(error) for error in table.errors]
    assert said[0] == 'row 3, column r: "fifty"; expected an R-value, a number such as 49'
    assert "row 2 is the same" in said[3]


def test_the_header_is_held_to_the_columns() -> None:
    table = read("r,initial,settled_in,lb_per_ft2,r\n49,16,14,2,49\n")
    assert errors(table) == [(1, "initial"), (1, "r"), (1, "initial_in")]
    assert "nearest is initial_in" in str(table.errors[0])
    assert table.rows == ()


def test_a_value_without_a_name_is_refused() -> None:
    table = read("r,initial_in,settled_in,lb_per_ft2,\n49,16,14,2,x\n")
    assert errors(table) == [(2, "")]


@pytest.mark.parametrize("content", [b"", b"%PDF-1.7", b"\xd0\xcf\x11\xe0old", b"\x00\x01"])
def test_what_is_no_sheet_is_refused(content: bytes) -> None:
    table = table_read(content, "chart")
    assert [error.row for error in table.errors] == [0]


def test_a_formula_is_no_weight() -> None:
    table = read(CHART + '49,16,14,"=cmd|x!A1",75\n')
    assert errors(table) == [(2, "lb_per_ft2")]


def test_a_chart_is_not_endless() -> None:
    rows = "".join(f"{n / 10 + 1},16,14,2,\n" for n in range(MOST_TABLE_ROWS + 1))
    assert [str(e) for e in read(CHART + rows).errors] == ["the file: expected at most 100 rows"]


def test_rows_of_a_page_are_counted_from_one() -> None:
    cells: list[list[Raw]] = [["depth_in", "r", "lb_per_ft3"], ["9.25", "", "3.5"]]
    assert errors(table_of(cells, "cavity", first=1)) == [(1, "r")]
