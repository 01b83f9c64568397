"""The small plot of a planning run, cost and bound over seconds; must not know Django."""

from collections.abc import Sequence
from dataclasses import dataclass

from contractor.axis import Frame, Tick, frame_around

FRAME = frame_around(390, 156, left=70, right=20, top=14, bottom=30)


@dataclass(frozen=True)
class RunPlot:
    """What the SVG draws: two lines as `points` attributes and the ends of both axes."""

    cost: str
    bound: str
    seconds: tuple[Tick, ...]
    cents: tuple[Tick, ...]
    cost_end: float
    bound_end: float
    frame: Frame = FRAME


def plot_of(points: Sequence[tuple[float, int, int]]) -> RunPlot | None:
    """Return the plot of (seconds, cost, bound) points in order of time; None without two."""
    if len(points) < 2:
        return None
    seconds = [second for second, _, _ in points]
    costs, bounds = [cost for _, cost, _ in points], [bound for _, _, bound in points]
    x = FRAME.across(0, max(seconds[-1], 0.1))
    y = FRAME.up(min(*costs, *bounds), max(*costs, *bounds))
    return RunPlot(
        cost=_stairs([(x.at(second), y.at(cost)) for second, cost, _ in points]),
        bound=_stairs([(x.at(second), y.at(bound)) for second, _, bound in points]),
        seconds=x.ticks((x.low, x.high)),
        cents=y.ticks(sorted({y.low, y.high})),
        cost_end=y.at(costs[-1]),
        bound_end=y.at(bounds[-1]),
    )


def _stairs(corners: Sequence[tuple[float, float]]) -> str:
    """Hold a value until the next is known, so that the line goes level and then up or down."""
    path = [corners[0]]
    for x, y in corners[1:]:
        path += [(x, path[-1][1]), (x, y)]
    return " ".join(f"{x},{y}" for x, y in path)
