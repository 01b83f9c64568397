"""Minutes, cents and shares read as the office says them."""

from datetime import date

import pytest

from scheduling.templatetags.office_words import (
    Owed,
    by_party,
    change_in_dollars,
    dollars,
    dollars_and_cents,
    filled_marks,
    in_brief,
    long_day,
    percent,
)


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
    assert filled_marks("2 of 3") == '<i class="done"></i><i class="done"></i><i class="open"></i>'
    assert filled_marks("0 of 0") == ""
    assert filled_marks("nothing owed") == ""


def test_what_one_party_owes_for_one_day_stands_together() -> None:
    said = ["attic: owed by builder, no date", "roof: owed by roofer, no date"]
    assert by_party([*said, "chase: owed by builder, no date"]) == [
        Owed("owed by builder, no date", ("attic", "chase")),
        Owed("owed by roofer, no date", ("roof",)),
    ]


def test_in_brief_the_most_comes_first() -> None:
    builder = [f"{name}: owed by builder, no date" for name in ("attic", "chase", "permit")]
    others = ["roof: owed by roofer, no date", "wires: owed by electrician, no date"]
    assert in_brief([*others, *builder]) == (
        "3 owed by builder, no date; roof: owed by roofer, no date; 1 more"
    )
    assert in_brief(others[:1]) == "roof: owed by roofer, no date"
    assert in_brief([]) == ""


def test_days() -> None:
    assert long_day(date(2027, 3, 2)) == "Tuesday, March 2"
