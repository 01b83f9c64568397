"""Axes of plots: where values stand, checked by plain geometry."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from contractor.axis import Axis, Tick, frame_around

FRAME = frame_around(400, 100, left=50, right=10, top=20, bottom=30)
VALUES = st.floats(0.01, 1e6)


def test_a_frame_has_room_on_each_side() -> None:
    assert (FRAME.width, FRAME.height) == (460, 150)
    assert (FRAME.left, FRAME.right, FRAME.top, FRAME.bottom) == (50, 450, 20, 120)


def test_values_stand_from_left_to_right_and_from_bottom_to_top() -> None:
    across, up = FRAME.across(10, 30), FRAME.up(10, 30)
    assert [across.at(value) for value in (10, 15, 20, 30)] == [50, 150, 250, 450]
    assert [up.at(value) for value in (10, 15, 20, 30)] == [120, 95, 70, 20]


def test_room_is_kept_free_at_both_ends() -> None:
    axis = FRAME.across(0, 1, room=10)
    assert (axis.at(0), axis.at(1)) == (60, 440)


def test_on_a_logarithmic_axis_twice_as_much_is_always_as_far() -> None:
    axis = FRAME.across(1, 16, is_log=True)
    assert [axis.at(value) for value in (1, 2, 4, 8, 16)] == [50, 150, 250, 350, 450]


@pytest.mark.parametrize("is_log", [False, True])
def test_one_value_alone_stands_in_the_middle(is_log: bool) -> None:
    assert FRAME.across(7, 7, is_log=is_log).at(7) == 250


def test_ticks_stand_at_the_values_between_both_ends() -> None:
    assert Axis(10, 30, 0, 100).ticks([5, 10, 20, 30, 31]) == (
        Tick(0, 10),
        Tick(50, 20),
        Tick(100, 30),
    )


def test_places_are_to_a_tenth() -> None:
    assert Axis(0, 3, 0, 100).at(1) == 33.3


@given(st.lists(VALUES, min_size=2, max_size=8), st.booleans())
def test_order_is_kept_and_nothing_leaves_the_frame(values: list[float], is_log: bool) -> None:
    axis = FRAME.across(min(values), max(values), is_log=is_log)
    places = [axis.at(value) for value in sorted(values)]
    assert places == sorted(places)
    assert FRAME.left <= places[0] <= places[-1] <= FRAME.right
