"""Sheets that are read: formats, encodings, separators, order of columns, round trips."""

import string
from datetime import date, datetime
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from jobs.sheets import blank, sheet_read
from jobs.sheets.columns import COLUMNS, NAMES, WORDS
from tests.jobs.sheets.samples import ATTIC, SLOPE, csv_of, only_error, repacked, xlsx_of


@pytest.mark.parametrize("write", [csv_of, xlsx_of])
def test_two_spaces_are_two_rows(write: object) -> None:
    sheet = sheet_read(write(ATTIC, SLOPE))  # type: ignore[operator]
    assert sheet.errors == ()
    attic, slope = sheet.rows
    assert (attic.number, slope.number) == (2, 3)
    assert attic.number_of("area_ft2") == Decimal(1500)
    assert attic.number_of("board_in") == Decimal("0.625")
    assert slope.whole("bays") == 22
    assert slope.text("cover") == "board"
    assert attic.values.get("bays") is None


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_usual_encodings_are_read(encoding: str) -> None:
    row = {**ATTIC, "builder": "Señor Núñez & Sons", "note": "1½ in gap – see photo"}
    sheet = sheet_read(csv_of(row, encoding=encoding))
    assert sheet.rows[0].text("builder") == "Señor Núñez & Sons"
    assert sheet.rows[0].text("note") == "1½ in gap – see photo"


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-32", "shift_jis", "koi8-r"])
def test_other_encodings_are_refused(encoding: str) -> None:
    row = {**ATTIC, "builder": "Ягода" if encoding == "koi8-r" else "建設会社"}
    error = only_error(sheet_read(csv_of(row, encoding=encoding)))
    assert "UTF-8" in str(error)
    assert error.row == 0


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_usual_separators_are_read(delimiter: str) -> None:
    assert sheet_read(csv_of(ATTIC, SLOPE, delimiter=delimiter)).errors == ()


def test_columns_come_in_any_order_and_any_case() -> None:
    turned = {name.upper(): ATTIC[name] for name in reversed(ATTIC)}
    assert sheet_read(csv_of(turned)).rows[0].text("builder") == "Hazel Homes"


def test_empty_rows_count_but_say_nothing() -> None:
    content = csv_of(ATTIC, dict.fromkeys(ATTIC, ""), {**ATTIC, "space": "garage"})
    assert [row.number for row in sheet_read(content).rows] == [2, 4]


def test_a_sheets_own_dates_and_iso_dates_are_dates() -> None:
    midnight = datetime(2027, 3, 12)  # noqa: DTZ001 - cells of a workbook have no zone
    row = {**ATTIC, "ready_date": date(2027, 3, 5), "promised_date": midnight}
    found = sheet_read(xlsx_of(row)).rows[0]
    assert (found.day("ready_date"), found.day("promised_date")) == (
        date(2027, 3, 5),
        date(2027, 3, 12),
    )
    iso = sheet_read(csv_of({**ATTIC, "ready_date": "2027-03-05"})).rows[0]
    assert iso.day("ready_date") == date(2027, 3, 5)


def test_numbers_of_a_sheet_can_be_texts() -> None:
    row = {**ATTIC, "unit": 14, "superintendent": "R", "superintendent_phone": 5155550142}
    found = sheet_read(xlsx_of(row)).rows[0]
    assert found.text("unit") == "14"
    assert found.text("superintendent_phone") == "5155550142"


@pytest.mark.parametrize("pitch", ["6", "6/12", "6:12", " 6 / 12"])
def test_a_pitch_is_written_as_roofers_do(pitch: str) -> None:
    row = {**SLOPE, "length_ft": "", "run_ft": 12, "pitch": pitch}
    assert sheet_read(csv_of(row)).rows[0].number_of("pitch") == Decimal(6)


def test_a_measure_is_kept_to_a_thousandth() -> None:
    found = sheet_read(xlsx_of({**ATTIC, "area_ft2": 1000 / 3})).rows[0]
    assert found.number_of("area_ft2") == Decimal("333.333")


def test_a_note_keeps_its_lines_and_is_never_parsed() -> None:
    note = 'first <script>alert("x")</script>\nsecond line, 100 % sure'
    assert sheet_read(csv_of({**ATTIC, "note": note})).rows[0].text("note") == note


def test_names_lose_doubled_blanks_only() -> None:
    found = sheet_read(csv_of({**ATTIC, "builder": "  Hazel \u00a0 Homes "})).rows[0]
    assert found.text("builder") == "Hazel Homes"


def test_a_phone_number_may_begin_with_a_plus() -> None:
    row = {**ATTIC, "superintendent": "R", "superintendent_phone": "+1 515 555 0142"}
    assert sheet_read(csv_of(row)).errors == ()


@pytest.mark.parametrize("content", [blank.blank_csv(), blank.blank_xlsx()])
def test_the_blank_sheet_is_right_in_itself(content: bytes) -> None:
    sheet = sheet_read(content)
    assert sheet.errors == ()
    assert sheet.columns == set(NAMES)
    assert len(sheet.rows) == 2


def test_every_column_is_known_and_explained() -> None:
    wanted = (
        "builder superintendent superintendent_email superintendent_phone branch site address "
        "latitude longitude gate_note unit year_built ready_date promised_date owner_name "
        "owner_email owner_phone owner_language space kind area_ft2 bays length_ft run_ft pitch "
        "depth_in spacing_in vent_in cover target_r material lb_per_ft3 board_in framing_in "
        "count note"
    )
    assert wanted.split() == list(NAMES) == list(WORDS)
    assert len(COLUMNS) == 36


_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_STRICT = "http://purl.oclc.org/ooxml/spreadsheetml/main"


@pytest.mark.parametrize("namespace", [_MAIN, _STRICT])
def test_texts_may_be_shared_and_styled(namespace: str) -> None:
    """As most spreadsheets write them: ECMA-376, part 1, sections 18.4.8 (si) and 18.4.6 (rPh)."""
    names = ["builder", "site", "space", "kind", "area_ft2", "target_r"]
    texts = [*names, "Hazel Homes", "Quarry Lane", "attic", "attic_flat"]
    items = "".join(f"<si><t>{text}</t></si>" for text in texts[:-4])
    items += "<si><r><t>Hazel </t></r><r><t>Homes</t></r><rPh><t>hei</t></rPh></si>"
    items += "".join(f"<si><t>{text}</t></si>" for text in texts[-3:])
    head = "".join(f'<c t="s"><v>{n}</v></c>' for n in range(6))
    body = "".join(f'<c t="s"><v>{n}</v></c>' for n in range(6, 10)) + "<c><v>1500</v></c>"
    rows = f"<row>{head}</row><row>{body}<c><v>49</v></c></row>"
    parts = {
        "xl/worksheets/sheet1.xml": f"<sheetData>{rows}</sheetData>",
        "xl/sharedStrings.xml": items,
    }
    roots = {"xl/worksheets/sheet1.xml": "worksheet", "xl/sharedStrings.xml": "sst"}
    content = {
        name: f'<{roots[name]} xmlns="{namespace}">{part}</{roots[name]}>'.encode()
        for name, part in parts.items()
    }
    sheet = sheet_read(repacked(xlsx_of(ATTIC), content))
    assert sheet.errors == ()
    assert sheet.rows[0].text("builder") == "Hazel Homes"
    assert sheet.rows[0].number_of("area_ft2") == Decimal(1500)


def test_dates_counted_from_1904_are_read_right() -> None:
    """Workbooks of old Macintoshes: ECMA-376, part 1, section 18.17.4.1 (date systems)."""

    def of_1904(book: Workbook) -> None:
        book.epoch = CALENDAR_MAC_1904

    content = xlsx_of({**ATTIC, "ready_date": date(2027, 3, 5)}, change=of_1904)
    assert sheet_read(content).rows[0].day("ready_date") == date(2027, 3, 5)


def test_an_escaped_line_end_is_a_line_end() -> None:
    """ECMA-376, part 1, section 22.9.2.19 (ST_Xstring): _x000A_ is the character of that number."""
    found = sheet_read(xlsx_of({**ATTIC, "note": "gate_x000A_code"}))
    assert found.rows[0].text("note") == "gate\ncode"


def test_a_number_is_shown_as_it_was_written() -> None:
    error = only_error(sheet_read(xlsx_of({**ATTIC, "framing_in": 1500})))
    assert error.value == "1500"


def test_only_the_first_sheet_is_read() -> None:
    def more(book: Workbook) -> None:
        book.create_sheet("notes")["A1"] = "what an office writes beside it"

    assert len(sheet_read(xlsx_of(ATTIC, change=more)).rows) == 1


_NAME = st.text(string.ascii_letters + "áñ'’ .&", min_size=1, max_size=30).filter(
    lambda text: text.strip()
)
_ROW = st.fixed_dictionaries(
    {
        "builder": _NAME,
        "site": _NAME,
        "unit": _NAME,
        "space": _NAME,
        "kind": st.just("attic_flat"),
        "area_ft2": st.decimals("0.001", 10_000, places=3),
        "target_r": st.integers(1, 60),
        "ready_date": st.dates(date(2020, 1, 1), date(2050, 1, 1)),
        "latitude": st.decimals(-90, 90, places=6),
        "longitude": st.decimals(-180, 180, places=6),
    }
)


@settings(max_examples=40, deadline=None)
@given(st.lists(_ROW, min_size=1, max_size=5))
def test_rows_come_back_from_csv_and_workbook_as_they_were(rows: list[dict[str, object]]) -> None:
    for content in (csv_of(*rows), xlsx_of(*rows)):
        sheet = sheet_read(content)
        assert sheet.errors == ()
        for row, found in zip(rows, sheet.rows, strict=True):
            assert found.text("builder") == " ".join(str(row["builder"]).split())
            assert found.number_of("area_ft2") == row["area_ft2"]
            assert found.number_of("latitude") == row["latitude"]
            assert found.day("ready_date") == row["ready_date"]


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_give_rows_or_errors_and_no_exception(content: bytes) -> None:
    sheet = sheet_read(content)
    assert sheet.errors or sheet.rows


_WORKBOOK = xlsx_of(ATTIC, SLOPE)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_damaged_workbook_gives_rows_or_errors(data: st.DataObject) -> None:
    content = bytearray(_WORKBOOK)
    for _ in range(data.draw(st.integers(1, 6))):
        content[data.draw(st.integers(0, len(content) - 1))] = data.draw(st.integers(0, 255))
    sheet = sheet_read(bytes(content))
    assert sheet.errors or sheet.rows
