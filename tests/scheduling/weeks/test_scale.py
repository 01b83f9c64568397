"""Time is height: heights come in steps of five minutes and add up to the day."""

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from scheduling.weeks.views.scale import LONGEST_MINUTES, height_of, heights_of, style_lines

STYLE = Path(__file__).parents[3] / "scheduling" / "static" / "scheduling" / "minutes.css"
LENGTHS = st.lists(st.integers(0, 300), max_size=6)


def test_a_height_is_the_nearest_step() -> None:
    assert [height_of(minutes) for minutes in (0, 2, 3, 60, 62, 63)] == [0, 0, 5, 60, 60, 65]


def test_no_height_is_beyond_the_longest_day() -> None:
    assert height_of(5000) == LONGEST_MINUTES


def test_what_one_block_loses_the_next_one_gets() -> None:
    # Three drives of 7 minutes take 21: by themselves they would stand 15 high.
    assert heights_of([7, 7, 7]) == [5, 10, 5]


@given(LENGTHS)
def test_blocks_add_up_to_the_day(lengths: list[int]) -> None:
    assert sum(heights_of(lengths)) == height_of(sum(lengths))
    assert all(height >= 0 and height % 5 == 0 for height in heights_of(lengths))


@given(LENGTHS)
def test_each_block_is_within_one_step_of_its_time(lengths: list[int]) -> None:
    assert all(
        abs(height - length) <= 5
        for height, length in zip(heights_of(lengths), lengths, strict=True)
    )


def test_the_style_file_is_what_the_rule_makes() -> None:
    assert STYLE.read_text().splitlines()[1:] == list(style_lines())
