"""The plot of hours estimated and hours taken, both on logarithmic axes; must not know Django.

All figures are those of the SVG: its units, from its upper left corner.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

SIDE, LEFT, RIGHT, TOP, BOTTOM = 360, 52, 14, 12, 42
MARGIN = 1.25  # room beyond the least and the most, as a factor
STEPS_HOURS = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0, 128.0)
# One mark for each kind of step, told apart by shape and not by colour.
MARKS = {
    "air_seal": "M-4 -4L4 4M-4 4L4 -4",
    "baffles": "M0 -5V5M-5 0H5",
    "batt": "M-4 -4H4V4H-4Z",
    "net": "M0 -5L5 4H-5Z",
    "dense_fill": "M0 5L5 -4H-5Z",
    "slope_blow": "M0 -5.5L5.5 0L0 5.5L-5.5 0Z",
    "flat_blow": "M-4.5 0A4.5 4.5 0 1 0 4.5 0A4.5 4.5 0 1 0 -4.5 0Z",
}


@dataclass(frozen=True)
class Tick:
    """A figure on both axes: where it stands across and down."""

    x: float
    y: float
    hours: str


@dataclass(frozen=True)
class Point:
    """One finished step: where it stands and which mark it has."""

    x: float
    y: float
    mark: str


@dataclass(frozen=True)
class Plot:
    """What the SVG draws; `points` in the order of what was given."""

    points: tuple[Point, ...]
    ticks: tuple[Tick, ...]
    width: int = LEFT + SIDE + RIGHT
    height: int = TOP + SIDE + BOTTOM
    left: int = LEFT
    right: int = LEFT + SIDE
    top: int = TOP
    bottom: int = TOP + SIDE


def plot_of(steps: Sequence[tuple[str, float, float]]) -> Plot | None:
    """The plot of (kind of step, minutes estimated, minutes taken); None where there is nothing.

    Both axes reach as far, so that the diagonal is where the estimate was right.
    """
    minutes = [value for _, *both in steps for value in both]
    if not minutes:
        return None
    low, high = min(minutes) / MARGIN, max(minutes) * MARGIN

    def along(value: float) -> float:
        return SIDE * math.log(value / low) / math.log(high / low)

    def x(value: float) -> float:
        return round(LEFT + along(value), 1)

    def y(value: float) -> float:
        return round(TOP + SIDE - along(value), 1)

    return Plot(
        points=tuple(Point(x(said), y(took), MARKS.get(kind, "")) for kind, said, took in steps),
        ticks=tuple(
            Tick(x(hours * 60), y(hours * 60), f"{hours:g}")
            for hours in STEPS_HOURS
            if low <= hours * 60 <= high
        ),
    )
