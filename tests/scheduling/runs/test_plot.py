"""The plot of a run stays inside its frame and keeps cost above bound."""

import pytest

from scheduling.runs.views.plot import FRAME, plot_of

POINTS = [(0.5, 90_000, 20_000), (2.0, 60_000, 40_000), (8.0, 50_000, 50_000)]


def corners(points: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in (pair.split(",") for pair in points.split())]


@pytest.mark.parametrize("points", [[], POINTS[:1]])
def test_one_point_is_no_plot(points: list[tuple[float, int, int]]) -> None:
    assert plot_of(points) is None


def test_lines_stay_in_the_frame() -> None:
    plot = plot_of(POINTS)
    assert plot is not None
    for x, y in corners(plot.cost) + corners(plot.bound):
        assert FRAME.left <= x <= FRAME.width
        assert 0 <= y <= FRAME.height


def test_cost_comes_down_and_bound_goes_up_to_meet() -> None:
    plot = plot_of(POINTS)
    assert plot is not None
    cost, bound = corners(plot.cost), corners(plot.bound)
    # In a picture up is less: the cost's y grows, the bound's shrinks.
    assert [y for _, y in cost] == sorted(y for _, y in cost)
    assert [y for _, y in bound] == sorted((y for _, y in bound), reverse=True)
    assert cost[-1] == bound[-1]
    assert plot.cost_end == plot.bound_end


def test_a_value_holds_until_the_next_one() -> None:
    plot = plot_of(POINTS)
    assert plot is not None
    (_, first), (x_level, level), (x_down, _), *_rest = corners(plot.cost)
    assert level == first
    assert x_level == x_down


def test_the_axes_name_their_ends() -> None:
    plot = plot_of(POINTS)
    assert plot is not None
    assert [tick.value for tick in plot.seconds] == [0, 8.0]
    assert [tick.value for tick in plot.cents] == [20_000, 90_000]


def test_a_flat_line_is_drawn_in_the_middle() -> None:
    plot = plot_of([(0.0, 100, 100), (0.0, 100, 100)])
    assert plot is not None
    assert len({y for _, y in corners(plot.cost)}) == 1
    assert [tick.value for tick in plot.cents] == [100]
