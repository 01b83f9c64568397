"""The plot of estimate against actual, checked by plain geometry."""

import pytest

from jobs.rates.views.plot import FRAME, MARKS, SIDE, plot_of

pytestmark = pytest.mark.usefixtures("thursday_morning")


def test_nothing_finished_gives_no_plot() -> None:
    assert plot_of([]) is None


def test_an_estimate_that_was_right_lies_on_the_diagonal() -> None:
    plot = plot_of([("batt", 60, 60), ("batt", 240, 240), ("net", 120, 90)])
    assert plot
    for point in plot.points[:2]:
        assert point.x - FRAME.left == pytest.approx(FRAME.bottom - point.y, abs=0.2)
    under = plot.points[2]
    assert FRAME.bottom - under.y < under.x - FRAME.left


def test_twice_as_long_is_as_far_up_wherever_it_stands() -> None:
    """On logarithmic axes a ratio is a distance."""
    plot = plot_of([("batt", 30, 60), ("batt", 240, 480)])
    assert plot
    above = [(FRAME.bottom - p.y) - (p.x - FRAME.left) for p in plot.points]
    assert above[0] == pytest.approx(above[1], abs=0.2)


def test_everything_lies_within_the_axes_and_ticks_are_hours() -> None:
    plot = plot_of([("batt", 20, 700), ("net", 45, 30)])
    assert plot
    assert all(plot.frame.left <= p.x <= plot.frame.right for p in plot.points)
    assert all(plot.frame.top <= p.y <= plot.frame.bottom for p in plot.points)
    assert [tick.hours for tick in plot.ticks] == ["0.5", "1", "2", "4", "8"]


def test_one_point_alone_can_be_drawn() -> None:
    plot = plot_of([("batt", 60, 60)])
    assert plot
    assert plot.points[0].x == pytest.approx(FRAME.left + SIDE / 2, abs=0.2)


def test_each_kind_has_a_shape_of_its_own() -> None:
    assert len(set(MARKS.values())) == len(MARKS)
