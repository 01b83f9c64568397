"""Plots as SVG: the frame, and axes that put values into it; must not know Django or what is drawn.

All figures are those of the SVG: its units, from its upper left corner.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

# Marks that are told apart by shape and not by colour, drawn about the point 0, 0.
RING = "M-4.5 0A4.5 4.5 0 1 0 4.5 0A4.5 4.5 0 1 0 -4.5 0Z"
CROSS = "M-4 -4L4 4M-4 4L4 -4"


@dataclass(frozen=True)
class Tick:
    """A value on an axis and where it stands."""

    at: float
    value: float | str


@dataclass(frozen=True)
class Point:
    """One thing that is drawn: where it stands and which mark it has."""

    x: float
    y: float
    mark: str


@dataclass(frozen=True)
class Axis:
    """Values from low to high along the line from start to end; by their ratios if is_log."""

    low: float
    high: float
    start: float
    end: float
    is_log: bool = False

    def at(self, value: float) -> float:
        """Return where the value stands, to a tenth; in the middle where low is high."""
        return round(self.start + (self.end - self.start) * self._share(value), 1)

    def ticks(self, values: Iterable[float]) -> tuple[Tick, ...]:
        """Return ticks at those of the values that lie between low and high."""
        return tuple(Tick(self.at(v), v) for v in values if self.low <= v <= self.high)

    def _share(self, value: float) -> float:
        if self.low == self.high:
            return 0.5
        if self.is_log:
            return math.log(value / self.low) / math.log(self.high / self.low)
        return (value - self.low) / (self.high - self.low)


@dataclass(frozen=True)
class Frame:
    """The whole picture, and the edges of the part of it between the axes."""

    width: int
    height: int
    left: int
    right: int
    top: int
    bottom: int

    def across(self, low: float, high: float, *, room: float = 0, is_log: bool = False) -> Axis:
        """Return the axis from left to right, with room kept free at both ends."""
        return Axis(low, high, self.left + room, self.right - room, is_log)

    def up(self, low: float, high: float, *, is_log: bool = False) -> Axis:
        """Return the axis from bottom to top."""
        return Axis(low, high, self.bottom, self.top, is_log)


def frame_around(
    inner_width: int, inner_height: int, *, left: int, right: int, top: int, bottom: int
) -> Frame:
    """Return the frame with so much room outside the axes on each side."""
    return Frame(
        width=left + inner_width + right,
        height=top + inner_height + bottom,
        left=left,
        right=left + inner_width,
        top=top,
        bottom=top + inner_height,
    )
