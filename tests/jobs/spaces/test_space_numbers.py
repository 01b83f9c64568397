"""Numbers as people write them on a takeoff.

Actual sizes of lumber: American Softwood Lumber Standard PS 20, dressed dry sizes (2x4 is
1.5 x 3.5 in, 2x12 is 1.5 x 11.25 in), from memory. Feet and inches: 12 in to the foot.
"""

from collections.abc import Callable
from decimal import Decimal

import pytest

from jobs.spaces.forms.numbers import (
    NotRead,
    area_read,
    count_read,
    feet_read,
    inches_read,
    number_read,
    pair_read,
    pitch_read,
    written,
)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("9.25", "9.25"),
        ("9 1/4", "9.25"),
        ("9-1/4", "9.25"),
        ("9¼", "9.25"),
        (" 5/8 ", "0.625"),
        (".5", "0.5"),
        ("1,500", "1500"),
        ("1,500.5", "1500.5"),
        ("0", "0"),
        ("2/3", "0.667"),
    ],
)
def test_plain_numbers(text: str, value: str) -> None:
    assert number_read(text) == Decimal(value)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2x4", "3.5"),
        ("2x6", "5.5"),
        ("2 x 8", "7.25"),
        ("2×10", "9.25"),
        ("2X12", "11.25"),
        ('16"', "16"),
        ("19.2 in", "19.2"),
        ("5 1/2 in.", "5.5"),
    ],
)
def test_inches_and_nominal_lumber(text: str, value: str) -> None:
    assert inches_read(text) == Decimal(value)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("15' 8\"", "15.667"),
        ("15'8", "15.667"),
        ("15' 7 1/2\"", "15.625"),
        ("15 ft 6 in", "15.5"),
        ("15’ 6”", "15.5"),
        ("40 ft", "40"),
        ("40'", "40"),
        ("15.65", "15.65"),
    ],
)
def test_feet_and_inches(text: str, value: str) -> None:
    assert feet_read(text) == Decimal(value)


@pytest.mark.parametrize("text", ["6/12", "6:12", "6 in 12", "6", "6 / 12"])
def test_a_pitch_of_six_in_twelve(text: str) -> None:
    assert pitch_read(text) == 6


def test_areas_counts_and_pairs() -> None:
    assert area_read("1,500 ft2") == 1500
    assert area_read("900 sq ft") == 900
    assert count_read("38") == 38
    assert pair_read("12 x 15' 8\"") == ("12", "15' 8\"")
    assert pair_read("36×48") == ("36", "48")
    assert written(Decimal("1500.000")) == "1500"


@pytest.mark.parametrize(
    ("read", "text"),
    [
        (number_read, "abc"),
        (number_read, "-5"),
        (number_read, "1e9"),
        (number_read, "5/0"),
        (number_read, "1,50"),
        (number_read, "1.2.3"),
        (number_read, "NaN"),
        (number_read, "9" * 40),
        (number_read, "٤"),
        (inches_read, "2x5"),
        (feet_read, "15' x\""),
        (feet_read, "'"),
        (pitch_read, "six/12"),
        (area_read, "ft2"),
        (count_read, "2.5"),
        (count_read, ""),
        (pair_read, "12"),
    ],
)
def test_what_is_no_number_is_said_so(read: Callable[[str], object], text: str) -> None:
    with pytest.raises(NotRead) as refused:
        read(text)
    assert text[:30] in str(refused.value)


def test_a_number_stays_what_it_was_when_written_and_read_again() -> None:
    for thousandths in range(0, 40_000, 137):
        value = Decimal(thousandths) / 1000
        assert number_read(written(value)) == value
