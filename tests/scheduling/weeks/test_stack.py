"""A crew-day as a stack: blocks in the order of the day, heights that add up to its minutes."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from contractor.models import Branch, Crew
from jobs.conditions.readiness import Marks
from scheduling.gather.rows import Rows
from scheduling.weeks.shapes import (
    CrewDayCell,
    CrewRow,
    DayHead,
    Strip,
    StripPart,
    WeekHead,
    WeekPage,
)
from scheduling.weeks.views.scale import height_of
from scheduling.weeks.views.stack import Line, Stack, sheets_of, stack_of, strip_of
from tests.scheduling.houses import NEXT_WEEK, WEEK

MONDAY = date(2027, 3, 1)
HEAD = DayHead(MONDAY, "", is_today=False, is_past=False)
WORK = st.lists(st.integers(1, 200), min_size=1, max_size=3)


def strip_make(stop_id: int = 1, drive: int = 17, setup: int = 30, *work: int) -> Strip:
    parts = tuple(
        StripPart(number, "flat_blow", "flat blow", minutes, minutes)
        for number, minutes in enumerate(work or (120,))
    )
    return Strip(
        stop_id=stop_id,
        job_id=stop_id,
        title=f"House {stop_id}",
        builder="Hazel Homes",
        site="Quarry Lane",
        drive_minutes=drive,
        setup_minutes=setup,
        parts=parts,
        line="solid",
        marks=Marks(2, 2, (), ()),
        chance=1.0,
        differs=False,
        late_days=0,
        promised_date=None,
    )


def cell_make(*strips: Strip, home: int = 17, available: int = 480) -> CrewDayCell:
    return CrewDayCell(
        crew_id=1,
        date=MONDAY,
        is_past=False,
        available_minutes=available,
        overtime_minutes=90,
        stops=strips,
        home_minutes=home if strips else 0,
        machines=(),
        differs=False,
    )


def kinds(stack: Stack) -> list[str]:
    return [block.kind for block in stack.blocks]


def test_a_day_goes_out_works_and_comes_home() -> None:
    stack = stack_of(cell_make(strip_make(1), strip_make(2)), HEAD)
    assert kinds(stack) == ["drive", "stop", "drive", "stop", "home"]


def test_a_stop_holds_its_set_up_and_its_parts() -> None:
    stop = stack_of(cell_make(strip_make(1, 20, 30, 60, 120)), HEAD).blocks[1]
    assert [(segment.kind, segment.height) for segment in stop.segments] == [
        ("set-up", 30),
        ("flat_blow", 60),
        ("flat_blow", 120),
    ]
    assert (stop.minutes, stop.height) == (210, 210)


def test_two_stops_without_a_drive_between_stay_two() -> None:
    stack = stack_of(cell_make(strip_make(1), strip_make(2, 0)), HEAD)
    assert kinds(stack) == ["drive", "stop", "stop", "home"]
    assert [block.strip.stop_id for block in stack.blocks if block.strip] == [1, 2]


def test_a_short_drive_has_no_room_for_words() -> None:
    blocks = stack_of(cell_make(strip_make(1, 5), home=25), HEAD).blocks
    assert [block.is_slim for block in blocks] == [True, False, False]


@given(st.lists(st.tuples(st.integers(0, 90), st.integers(0, 60), WORK), max_size=4))
def test_a_stack_is_as_high_as_its_minutes(days: list[tuple[int, int, list[int]]]) -> None:
    strips = [strip_make(n, drive, setup, *work) for n, (drive, setup, work) in enumerate(days)]
    cell = cell_make(*strips)
    stack = stack_of(cell, HEAD)
    assert sum(block.height for block in stack.blocks) == height_of(cell.used_minutes)
    assert all(
        block.height == sum(segment.height for segment in block.segments)
        for block in stack.blocks
        if block.strip
    )


def test_a_day_with_room_left_reaches_down_to_its_end() -> None:
    stack = stack_of(cell_make(strip_make()), HEAD)
    assert (stack.end, stack.height) == (480, 480)


def test_overtime_lies_below_the_end() -> None:
    stack = stack_of(cell_make(strip_make(1, 20, 40, 460)), HEAD)
    assert stack.end == 480
    assert stack.height == height_of(20 + 40 + 460 + 17)


def test_all_stacks_of_a_crew_have_room_for_the_tallest() -> None:
    cells = (cell_make(strip_make(1, 20, 40, 460)), cell_make(), cell_make(available=0))
    line = Line(CrewRow(Crew(pk=1), cells), tuple(stack_of(cell, HEAD) for cell in cells))
    assert not line.is_idle
    assert line.height >= max(stack.height for stack in line.stacks)


def test_a_crew_with_nothing_to_do_is_idle() -> None:
    cells = (cell_make(), cell_make())
    assert Line(CrewRow(Crew(pk=1), cells), tuple(stack_of(cell, HEAD) for cell in cells)).is_idle


@pytest.fixture
def page() -> WeekPage:
    days = tuple(
        DayHead(day, "", is_today=False, is_past=False)
        for week in (WEEK, NEXT_WEEK)
        for day in week.days()[:5]
    )
    rows = tuple(
        CrewRow(
            Crew(pk=pk),
            tuple(
                CrewDayCell(pk, day.date, False, 480, 90, (), 0, (), False)
                if day.date != MONDAY
                else cell_make(strip_make(stop_id=pk))
                for day in days
            ),
        )
        for pk in (1, 2)
    )
    heads = tuple(WeekHead(week, 0, True, False, 0) for week in (WEEK, NEXT_WEEK))
    read = Rows.__new__(Rows)  # a page that is only laid out asks nothing of what was read
    return WeekPage(Branch(), heads, days, rows, (), {}, None, None, (), read)


def test_each_week_has_a_sheet_with_its_own_days(page: WeekPage) -> None:
    first, second = sheets_of(page)
    assert [day.date.day for day in first.days] == [1, 2, 3, 4, 5]
    assert [day.date.day for day in second.days] == [8, 9, 10, 11, 12]
    assert [line.is_idle for line in second.lines] == [True, True]


def test_one_crew_can_be_shown_alone(page: WeekPage) -> None:
    assert [line.row.crew.pk for line in sheets_of(page, 2)[0].lines] == [2]
    assert sheets_of(page, 9)[0].lines == ()


def test_a_stop_is_found_with_its_crew_and_day(page: WeekPage) -> None:
    found = strip_of(page, 2)
    assert found is not None
    assert (found[0].crew.pk, found[1].date, found[2].title) == (2, MONDAY, "House 2")
    assert strip_of(page, 9) is None
