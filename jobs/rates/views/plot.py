"""The plot of hours estimated and hours taken, both on logarithmic axes; must not know Django."""

from collections.abc import Sequence
from dataclasses import dataclass

from contractor.axis import CROSS, RING, Frame, Point, frame_around

SIDE = 360
FRAME = frame_around(SIDE, SIDE, left=52, right=14, top=12, bottom=42)
MARGIN = 1.25  # room beyond the least and the most, as a factor
STEPS_HOURS = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 32.0, 64.0, 128.0)
# One mark for each kind of step, told apart by shape and not by colour.
MARKS = {
    "air_seal": CROSS,
    "baffles": "M0 -5V5M-5 0H5",
    "batt": "M-4 -4H4V4H-4Z",
    "net": "M0 -5L5 4H-5Z",
    "dense_fill": "M0 5L5 -4H-5Z",
    "slope_blow": "M0 -5.5L5.5 0L0 5.5L-5.5 0Z",
    "flat_blow": RING,
}


@dataclass(frozen=True)
class HoursTick:
    """A figure on both axes: where it stands across and down."""

    x: float
    y: float
    hours: str


@dataclass(frozen=True)
class RatioPlot:
    """What the SVG draws; `points` in the order of what was given."""

    points: tuple[Point, ...]
    ticks: tuple[HoursTick, ...]
    frame: Frame = FRAME


def plot_of(steps: Sequence[tuple[str, float, float]]) -> RatioPlot | None:
    """Return the plot of (kind of step, minutes estimated, minutes taken); None for none.

    Both axes reach as far, so that the diagonal is where the estimate was right.
    """
    hours = [(kind, said / 60, took / 60) for kind, said, took in steps]
    values = [value for _, *both in hours for value in both]
    if not values:
        return None
    low, high = min(values) / MARGIN, max(values) * MARGIN
    x, y = FRAME.across(low, high, is_log=True), FRAME.up(low, high, is_log=True)
    pairs = zip(x.ticks(STEPS_HOURS), y.ticks(STEPS_HOURS), strict=True)
    return RatioPlot(
        points=tuple(
            Point(x.at(said), y.at(took), MARKS.get(kind, "")) for kind, said, took in hours
        ),
        ticks=tuple(HoursTick(across.at, up.at, f"{across.value:g}") for across, up in pairs),
    )
