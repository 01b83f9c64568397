"""The plot of dates kept and broken, by the date given; must not know Django.

All figures are those of the SVG: its units, from its upper left corner.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from jobs.conditions.record import LATER, MOST_SLIP_DAYS

WIDTH, LEFT, RIGHT, TOP, BOTTOM = 560, 44, 14, 32, 36
STEP = 18  # between one working day late and the next
# Told apart by shape and not by colour: a ring for a date kept, a cross for one broken.
KEPT = "M-4.5 0A4.5 4.5 0 1 0 4.5 0A4.5 4.5 0 1 0 -4.5 0Z"
BROKEN = "M-4 -4L4 4M-4 4L4 -4"


@dataclass(frozen=True)
class Tick:
    """A number of working days late, and how far down it stands."""

    y: float
    text: str


@dataclass(frozen=True)
class Point:
    """One date given: where it stands and its mark."""

    x: float
    y: float
    mark: str


@dataclass(frozen=True)
class Plot:
    """What the SVG draws; `points` in the order of what was given."""

    points: tuple[Point, ...]
    ticks: tuple[Tick, ...]
    first: date
    last: date
    width: int = LEFT + WIDTH + RIGHT
    height: int = TOP + LATER * STEP + BOTTOM
    left: int = LEFT
    right: int = LEFT + WIDTH
    top: int = TOP
    bottom: int = TOP + LATER * STEP


def plot_of(dates: Sequence[tuple[date, int]]) -> Plot | None:
    """The plot of (date given, working days late), kept ones on the base line; None for none."""
    if not dates:
        return None
    said = [day for day, _ in dates]
    first, last = min(said), max(said)
    span = max(1, (last - first).days)

    def x(day: date) -> float:
        # Ten units of room at each side, so that no mark lies on the axis.
        return round(LEFT + 10 + (WIDTH - 20) * (day - first).days / span, 1)

    def y(slip_days: int) -> float:
        return TOP + (LATER - min(slip_days, LATER)) * STEP

    return Plot(
        points=tuple(Point(x(day), y(slip), BROKEN if slip else KEPT) for day, slip in dates),
        ticks=(
            *(Tick(y(days), str(days)) for days in range(0, MOST_SLIP_DAYS + 1, 2)),
            Tick(y(LATER), f"{LATER}+"),
        ),
        first=first,
        last=last,
    )
