"""Time is height: heights come in steps of five minutes and add up to the day."""

from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given
from hypothesis import strategies as st

from scheduling.weeks.views.scale import LONGEST_MINUTES, height_of, heights_of, style_text

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
    call_command("write_heights", "--check")


def test_a_style_file_that_differs_is_told_and_written_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "minutes.css"
    path.write_text(style_text().replace(".m45{--m:45}", ".m45{--m:46}"))
    monkeypatch.setattr("django.contrib.staticfiles.finders.find", lambda _name: str(path))
    with pytest.raises(CommandError, match="write_heights"):
        call_command("write_heights", "--check")
    call_command("write_heights")
    assert path.read_text() == style_text()
    assert ".m45{--m:45}" in path.read_text().splitlines()
