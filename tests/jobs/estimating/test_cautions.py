"""The doubts one by one: when they come, what they say, where from, whether they hold."""

from fractions import Fraction

import pytest

from jobs.estimating import SpaceWarning
from jobs.estimating.cautions import (
    Doubt,
    board_limit_lb_per_ft2,
    board_load,
    board_strength,
    density_low,
    density_verdict,
    vent_space,
)

HALF = Fraction(1, 2)


def fraction(text: str | None) -> Fraction | None:
    return None if text is None else Fraction(text)


@pytest.mark.parametrize(
    ("board", "framing", "limit"),
    [
        ("1/2", "16", "2.2"),
        ("1/2", "16.01", "1.3"),
        ("1/2", "24", "1.3"),
        ("1/2", "24.01", None),
        ("9/16", "24", "1.3"),
        ("5/8", "24", "2.2"),
        ("5/8", "25", None),
        ("3/4", "24", "2.2"),
        ("0.49", "12", None),
    ],
)
def test_board_limits(board: str, framing: str, limit: str | None) -> None:
    assert board_limit_lb_per_ft2(Fraction(board), Fraction(framing)) == fraction(limit)


@pytest.mark.parametrize(("load", "held"), [("1.3", False), ("1.3000001", True), ("0.5", False)])
def test_a_load_at_the_limit_is_carried(load: str, held: bool) -> None:
    doubt = board_load(Fraction(load), HALF, Fraction(24))
    assert (doubt is not None and doubt.holds) is held


def test_no_stated_limit_holds_too() -> None:
    doubt = board_load(Fraction(1), Fraction(3, 8), Fraction(16))
    assert doubt is not None
    assert (doubt.code, doubt.holds) == ("board_load", True)
    assert "No limit is stated for 0.375 in board at 16 in" in doubt.text


@pytest.mark.parametrize(("board", "framing"), [(None, "24"), ("1/2", None), (None, None)])
def test_an_unknown_board_is_told_and_does_not_hold(board: str | None, framing: str | None) -> None:
    doubt = board_load(Fraction("0.1"), fraction(board), fraction(framing))
    assert doubt is not None
    assert (doubt.code, doubt.holds) == ("board_unknown", False)


def test_a_stated_limit_of_the_board_wins() -> None:
    assert board_load(Fraction(2), None, None, Fraction(2)) is None
    doubt = board_load(Fraction(2), HALF, Fraction(16), Fraction("1.6"))
    assert doubt is not None
    assert doubt.source == "the board's own limit, given in the takeoff"


@pytest.mark.parametrize(
    ("vent", "least", "source"),
    [("1", "1", None), ("2", "1", None), ("0.75", "1", "IRC R806.3"), ("1", "2.5", "IRC R806.3"),
     ("0", "1", "IRC R806.5")],
)  # fmt: skip
def test_vent_spaces(vent: str, least: str, source: str | None) -> None:
    doubt = vent_space(Fraction(vent), Fraction(least))
    assert (doubt.source if doubt else None) == source
    assert doubt is None or doubt.holds


@pytest.mark.parametrize(
    ("density", "least", "code"),
    [("3.5", "3.5", None), ("3.49", "3.5", "density_low"), ("1.4", "1.5", "density_low"),
     ("1.5", "1.5", None), ("2", None, None)],
)  # fmt: skip
def test_dense_fills(density: str, least: str | None, code: str | None) -> None:
    doubt = density_low(Fraction(density), fraction(least))
    assert (doubt.code if doubt else None) == code


def test_a_nearly_dense_fill_is_told_so() -> None:
    nearly, thin = (density_low(Fraction(text), Fraction("3.5")) for text in ("3.2", "3.1"))
    assert nearly is not None
    assert thin is not None
    assert nearly.text.endswith("from 3.2 on it is called probably enough.")
    assert thin.text.endswith("it may settle.")
    assert nearly.holds
    assert thin.holds


def test_a_product_without_a_doubtful_band_fails_below_its_minimum() -> None:
    assert density_verdict(Fraction("1.49"), Fraction("1.5")) == "fail"


@pytest.mark.parametrize(
    ("board", "spacing", "strong"),
    [(None, 24, True), ("1/2", 16, True), ("1/2", 24, False), ("5/8", 24, True),
     ("5/8", 32, False)],
)  # fmt: skip
def test_boards_under_a_dense_fill(board: str | None, spacing: int, strong: bool) -> None:
    assert (board_strength(fraction(board), Fraction(spacing)) is None) is strong


def test_a_doubt_is_passed_on_with_the_step_that_it_is_about() -> None:
    told = SpaceWarning("code", "Text.", "source", holds=False, step="net")
    assert Doubt("code", "Text.", "source").warning("net") == told
