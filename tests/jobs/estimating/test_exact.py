"""Exact numbers: what is read, what is refused, rounding up, roots, what is written."""

from decimal import Decimal
from fractions import Fraction

import pytest

from jobs.estimating.exact import (
    NotANumber,
    ceiling,
    counted,
    exact,
    plain,
    quoted,
    spoken,
    square_root,
)


@pytest.mark.parametrize(
    ("written", "value"),
    [
        (3, Fraction(3)),
        (0.1, Fraction(1, 10)),
        ("28/15", Fraction(28, 15)),
        ("9.25", Fraction(37, 4)),
        (" -1.5/2 ", Fraction(-3, 4)),
        (Decimal("0.3"), Fraction(3, 10)),
        (Fraction(2, 7), Fraction(2, 7)),
        (1e-7, Fraction(1, 10**7)),
    ],
)
def test_numbers_are_read_exactly(written: object, value: Fraction) -> None:
    assert exact(written) == value


@pytest.mark.parametrize(
    "written",
    [
        True,
        None,
        [1],
        "",
        "deep",
        "1e9",
        "1/0",
        "1/0.0",
        "1//2",
        "½",
        float("nan"),
        float("inf"),
        1e300,
        pytest.param(10**5000, id="5001 digits"),
        Decimal("NaN"),
        Decimal("1e999999999"),
        Decimal("1e-999999999"),
        "9" * 19,
        "1/0.000000000000000001",
    ],
)
def test_what_is_no_number_is_refused(written: object) -> None:
    with pytest.raises(NotANumber):
        exact(written)


def test_rounding_up_does_not_add_a_bag() -> None:
    assert ceiling(Fraction(28, 15) * 1500 / 25) == 112
    assert ceiling(Fraction(112) + Fraction(1, 10**20)) == 113
    assert ceiling(Fraction(0)) == 0


def test_a_root_of_a_square_is_exact() -> None:
    assert square_root(Fraction(25, 16)) == Fraction(5, 4)
    assert float(square_root(Fraction(2))) == pytest.approx(2**0.5, rel=1e-15)


def test_a_plain_number_is_whole_where_it_is_whole() -> None:
    assert repr(plain(Fraction(112))) == "112"
    assert plain(Fraction(1, 3)) == 0.33333333
    assert plain(Fraction(4, 3)) == 1.3333


def test_spoken_numbers() -> None:
    assert [spoken(Fraction(2800)), spoken(Fraction("16.47")), spoken(Fraction(1, 3), 3)] == [
        "2,800",
        "16.47",
        "0.333",
    ]


def test_counts_are_spoken_by_number() -> None:
    assert [counted(n, "bag") for n in (0, 1, 2, 1200)] == [
        "0 bags",
        "1 bag",
        "2 bags",
        "1,200 bags",
    ]


def test_quoted_values_are_cut() -> None:
    assert len(quoted("x" * 1000)) == 40
    assert quoted({"a": 1}) == "dict"
    assert quoted(10**5000) == "a number of more than 18 digits"
