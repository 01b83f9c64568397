"""The small plot of a planning run, cost and bound over seconds; must not know Django.

All figures are those of the SVG: its units, from its upper left corner.
"""

from collections.abc import Sequence
from dataclasses import dataclass

WIDTH, HEIGHT = 480, 200
LEFT, RIGHT, TOP, BOTTOM = 70, 20, 14, 30


@dataclass(frozen=True)
class Tick:
    """A value on an axis and where it stands."""

    at: float
    value: float


@dataclass(frozen=True)
class Plot:
    """What the SVG draws: two lines as `points` attributes and the ends of both axes."""

    cost: str
    bound: str
    seconds: tuple[Tick, ...]
    cents: tuple[Tick, ...]
    cost_end: float
    bound_end: float
    width: int = WIDTH
    height: int = HEIGHT
    left: int = LEFT
    right: int = WIDTH - RIGHT
    top: int = TOP
    bottom: int = HEIGHT - BOTTOM


def plot_of(points: Sequence[tuple[float, int, int]]) -> Plot | None:
    """Return the plot of (seconds, cost, bound) points in order of time; None without two."""
    if len(points) < 2:
        return None
    last_second = max(points[-1][0], 0.1)
    low = min(min(cost, bound) for _, cost, bound in points)
    high = max(max(cost, bound) for _, cost, bound in points)

    def x(second: float) -> float:
        return round(LEFT + (WIDTH - LEFT - RIGHT) * second / last_second, 1)

    def y(cents: int) -> float:
        share = (cents - low) / (high - low) if high > low else 0.5
        return round(HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * share, 1)

    return Plot(
        cost=_stairs([(x(second), y(cost)) for second, cost, _ in points]),
        bound=_stairs([(x(second), y(bound)) for second, _, bound in points]),
        seconds=(Tick(x(0), 0), Tick(x(last_second), last_second)),
        cents=tuple(Tick(y(value), value) for value in sorted({low, high})),
        cost_end=y(points[-1][1]),
        bound_end=y(points[-1][2]),
    )


def _stairs(corners: Sequence[tuple[float, float]]) -> str:
    """A value holds until the next is known, so the line goes level and then up or down."""
    path = [corners[0]]
    for x, y in corners[1:]:
        path += [(x, path[-1][1]), (x, y)]
    return " ".join(f"{x},{y}" for x, y in path)
