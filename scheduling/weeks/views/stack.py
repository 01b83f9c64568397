"""A week page as stacks of blocks whose heights are minutes; reads no row and decides no rule."""

from collections.abc import Iterator
from dataclasses import dataclass

from scheduling.weeks.shapes import (
    CrewDayCell,
    CrewRow,
    DayHead,
    ShelfJob,
    Strip,
    WeekHead,
    WeekPage,
)
from scheduling.weeks.views.scale import height_of, heights_of

BELOW_MINUTES = 15  # room under the line at which the day's minutes end
WORDS_FIT_MINUTES = 15  # a lower block has its words for the reader aloud only


@dataclass(frozen=True)
class Segment:
    """A stretch of a stop: the set-up, or the part of one step."""

    kind: str
    height: int


@dataclass(frozen=True)
class Block:
    """A drive, a stop or the drive home within a crew-day."""

    kind: str
    minutes: int
    height: int
    strip: Strip | None = None
    segments: tuple[Segment, ...] = ()

    @property
    def is_slim(self) -> bool:
        """Whether words would not fit its height."""
        return self.height < WORDS_FIT_MINUTES


@dataclass(frozen=True)
class Stack:
    """One crew-day from its first drive down to the drive home."""

    cell: CrewDayCell
    day: DayHead
    blocks: tuple[Block, ...]
    end: int  # the height at which the day's minutes end and overtime begins

    @property
    def height(self) -> int:
        """The height that it needs: the day's minutes, or what it uses."""
        return max(self.end, sum(block.height for block in self.blocks))


@dataclass(frozen=True)
class Line:
    """A crew's stacks of one week, all of one height; a crew with nothing to do takes one line."""

    row: CrewRow
    stacks: tuple[Stack, ...]

    @property
    def is_idle(self) -> bool:
        """Whether the crew has no stop in this week."""
        return not any(stack.blocks for stack in self.stacks)

    @property
    def height(self) -> int:
        """The height of the tallest stack, and room for the line at which the day ends."""
        return height_of(max(stack.height for stack in self.stacks) + BELOW_MINUTES)


@dataclass(frozen=True)
class WeekSheet:
    """One week: its head, its days across and its crews down."""

    head: WeekHead
    days: tuple[DayHead, ...]
    lines: tuple[Line, ...]


def sheets_of(page: WeekPage, crew_id: int | None = None) -> list[WeekSheet]:
    """Return the page's weeks, each with all crews or the one of that id."""
    rows = [row for row in page.rows if crew_id in (None, row.crew.pk)]
    return [_sheet(page, head, rows) for head in page.heads]


def _sheet(page: WeekPage, head: WeekHead, rows: list[CrewRow]) -> WeekSheet:
    days = tuple(day for day in page.days if day.date in set(head.week.days()))
    return WeekSheet(head, days, tuple(_line(row, days) for row in rows))


def _line(row: CrewRow, days: tuple[DayHead, ...]) -> Line:
    by_date = {cell.date: cell for cell in row.cells}
    return Line(row, tuple(stack_of(by_date[day.date], day) for day in days))


def stack_of(cell: CrewDayCell, day: DayHead) -> Stack:
    """Return the blocks of a crew-day, their heights rounded so that they add up."""
    lengths = [minutes for _, minutes, _ in _stretches(cell)]
    heights = iter(heights_of(lengths))
    blocks: list[Block] = []
    for kind, minutes, strip in _stretches(cell):
        height = next(heights)
        if strip is not None and blocks and blocks[-1].strip is strip:
            blocks[-1] = _longer(blocks[-1], kind, minutes, height)
        elif strip is not None:
            blocks.append(Block("stop", minutes, height, strip, (Segment(kind, height),)))
        elif minutes:
            blocks.append(Block(kind, minutes, height))
    return Stack(cell, day, tuple(blocks), height_of(cell.available_minutes))


def _stretches(cell: CrewDayCell) -> Iterator[tuple[str, int, Strip | None]]:
    """Yield (kind, minutes, its stop) in the order of the day."""
    for strip in cell.stops:
        yield "drive", strip.drive_minutes, None
        yield "set-up", strip.setup_minutes, strip
        for part in strip.parts:
            yield part.kind, part.minutes, strip
    if cell.stops:
        yield "home", cell.home_minutes, None


def _longer(block: Block, kind: str, minutes: int, height: int) -> Block:
    return Block(
        block.kind,
        block.minutes + minutes,
        block.height + height,
        block.strip,
        (*block.segments, Segment(kind, height)),
    )


def strip_of(page: WeekPage, stop_id: int) -> tuple[CrewRow, CrewDayCell, Strip] | None:
    """Return a stop with its crew and crew-day, None when the page does not show it."""
    for row in page.rows:
        for cell in row.cells:
            for strip in cell.stops:
                if strip.stop_id == stop_id:
                    return row, cell, strip
    return None


def shelf_job_of(page: WeekPage, job_id: int) -> ShelfJob | None:
    """Return a job that is not placed, None when the shelf does not hold it."""
    jobs = (job for group in page.shelf for job in group.jobs)
    return next((job for job in jobs if job.job_id == job_id), None)
