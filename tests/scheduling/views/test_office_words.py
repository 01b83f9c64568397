"""Minutes, cents and shares read as the office says them."""

import pytest

from scheduling.templatetags.office_words import (
    change_in_dollars,
    dollars,
    dollars_and_cents,
    filled_marks,
    hours,
    percent,
)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0, "0 min"), (45, "45 min"), (60, "1 h"), (130, "2 h 10 min"), (600, "10 h")],
)
def test_hours(minutes: int, words: str) -> None:
    assert hours(minutes) == words


@pytest.mark.parametrize(
    ("cents", "words"),
    [(0, "$0"), (49, "$0"), (-49, "$0"), (123_456, "$1,235"), (-2_000, "−$20")],
)
def test_dollars(cents: int, words: str) -> None:
    assert dollars(cents) == words


@pytest.mark.parametrize(
    ("cents", "words"), [(0, "$0.00"), (5, "$0.05"), (123_450, "$1,234.50"), (-5, "−$0.05")]
)
def test_dollars_and_cents(cents: int, words: str) -> None:
    assert dollars_and_cents(cents) == words


@pytest.mark.parametrize(
    ("cents", "words"), [(3_500, "+$35"), (-2_000, "−$20"), (20, "no change"), (0, "no change")]
)
def test_a_difference_has_its_sign(cents: int, words: str) -> None:
    assert change_in_dollars(cents) == words


@pytest.mark.parametrize(
    ("share", "words"), [(0.0, "0.0 %"), (0.0131, "1.4 %"), (0.013, "1.3 %"), (1.0, "100.0 %")]
)
def test_a_share_is_rounded_up(share: float, words: str) -> None:
    assert percent(share) == words


def test_marks_are_filled_and_empty() -> None:
    assert filled_marks("4 of 6") == "●●●●○○"
    assert filled_marks("0 of 0") == ""
    assert filled_marks("nothing owed") == ""
