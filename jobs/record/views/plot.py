"""The plot of dates kept and broken, by the date given; must not know Django."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from contractor.axis import CROSS, RING, Frame, Point, Tick, frame_around
from jobs.conditions.record import LATER, MOST_SLIP_DAYS

STEP = 18  # between one working day late and the next
FRAME = frame_around(560, LATER * STEP, left=44, right=14, top=32, bottom=36)
ROOM = 10  # at each side, so that no mark lies on the axis
KEPT, BROKEN = RING, CROSS


@dataclass(frozen=True)
class SlipPlot:
    """What the SVG draws; `points` in the order of what was given."""

    points: tuple[Point, ...]
    ticks: tuple[Tick, ...]
    first: date
    last: date
    frame: Frame = FRAME


def plot_of(dates: Sequence[tuple[date, int]]) -> SlipPlot | None:
    """Return the plot of (date given, working days late), kept ones on the base line, or None."""
    if not dates:
        return None
    said = [day for day, _ in dates]
    first, last = min(said), max(said)
    x = FRAME.across(0, max(1, (last - first).days), room=ROOM)
    y = FRAME.up(0, LATER)
    return SlipPlot(
        points=tuple(
            Point(x.at((day - first).days), y.at(min(slip, LATER)), BROKEN if slip else KEPT)
            for day, slip in dates
        ),
        ticks=(*y.ticks(range(0, MOST_SLIP_DAYS + 1, 2)), Tick(y.at(LATER), f"{LATER}+")),
        first=first,
        last=last,
    )
