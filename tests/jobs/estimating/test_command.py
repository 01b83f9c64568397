"""The command: JSON or sentences on standard output, 2 and a message on bad input."""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from jobs.estimating import estimate_file, estimate_takeoff
from jobs.estimating.__main__ import main
from tests.jobs.estimating.takeoffs import ATTIC, BAFFLES, SEAL, SLOPE, WALL, takeoff
from tests.source import BASE


@pytest.fixture
def house(tmp_path: Path) -> Path:
    path = tmp_path / "takeoff.json"
    path.write_text(json.dumps(takeoff(ATTIC, SLOPE, WALL, SEAL, BAFFLES)))
    return path


def refused(content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    path = tmp_path / "bad.json"
    path.write_bytes(content)
    assert main([str(path)]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.count("\n") == 1
    return printed.err


def test_it_runs_alone_and_prints_the_estimate(house: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "jobs.estimating", str(house)],
        cwd=BASE, capture_output=True, text=True, check=True,
    )  # fmt: skip
    estimate = json.loads(ran.stdout)
    assert estimate == json.loads(
        json.dumps(estimate_file(estimate_takeoff(json.loads(house.read_text()))))
    )


def test_it_loads_neither_django_nor_a_solver() -> None:
    code = (
        "import sys, jobs.estimating.__main__;"
        "print([name for name in ('django', 'ortools', 'numpy') if name in sys.modules])"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], cwd=BASE, capture_output=True, text=True, check=True
    )
    assert ran.stdout.strip() == "[]"


def test_explained_in_sentences(house: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([str(house), "--explain"]) == 0
    text = capsys.readouterr().out
    for words in (
        "attic (attic flat)",
        "1,500 ft2 take 2,800 lb, 112 bags of 25 lb.",
        "bags: 2,800 / 25, rounded up once = 112 bags",
        "Load: cellulose 153 bags, markers 5 pieces, batts R-21 15 in 14 packages",
        "Visit main: ",
        "Default: hand.marker_minutes = 1 person-min each",
    ):
        assert words in text


def test_a_warning_that_holds_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "takeoff.json"
    path.write_text(json.dumps(takeoff({**ATTIC, "board_in": 0.5, "bord": 1})))
    main([str(path), "--explain"])
    text = capsys.readouterr().out
    assert "Warning, holds the step until somebody answers for it: 1.867 lb/ft2" in text
    assert "Not used, because it is not known: spaces[0].bord" in text


def test_decimals_of_the_file_are_exact(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    row: dict[str, Any] = {"r": 10, "lb_per_ft2": 0.1}
    data = takeoff(
        {**ATTIC, "area_ft2": 2500, "target_r": 10},
        materials={"cellulose": {"kind": "loose_fill", "bag_lb": 0.1, "chart": [row]}},
    )
    path = tmp_path / "takeoff.json"
    path.write_text(json.dumps(data))
    main([str(path)])
    assert json.loads(capsys.readouterr().out)["totals"]["bags"] == {"cellulose": 2500}


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is not JSON"),
        (b"{", "is not JSON"),
        (b"[]", "expected an object"),
        (b'"takeoff/1"', "expected an object"),
        (b"\xff\xfe\x00", "is not JSON"),
        (b'{"format": "takeoff/1", "format": "takeoff/1"}', "'format' stands twice"),
        (b'{"format": "takeoff/1", "people": NaN}', "NaN is not a number of JSON"),
        (b"[" * 200_000, "is nested too deeply"),
        (b'{"people": ' + b"9" * 5000 + b"}", "is not JSON"),
        (b'{"format": "takeoff/1"}', "spaces: is missing"),
        (b'{"format": "takeoff/1", "people": 1e999999999, "spaces": []}', "people: "),
    ],
)
def test_bad_input_is_refused_in_one_line(
    content: bytes, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert words in refused(content, tmp_path, capsys)


def test_a_later_space_that_is_wrong_prints_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    content = json.dumps(takeoff(ATTIC, {**SLOPE, "vent_in": 9.25})).encode()
    message = refused(content, tmp_path, capsys)
    assert message.startswith("spaces[1].vent_in: a vent space of 9.25 in leaves nothing")


def test_a_file_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([str(tmp_path / "none.json")]) == 2
    assert main([str(tmp_path)]) == 2
    errors = capsys.readouterr().err
    assert "cannot be read: No such file or directory" in errors
    assert "cannot be read: Is a directory" in errors


def test_a_file_with_a_byte_order_mark_is_read(house: Path) -> None:
    house.write_bytes(b"\xef\xbb\xbf" + house.read_bytes())
    assert main([str(house)]) == 0
