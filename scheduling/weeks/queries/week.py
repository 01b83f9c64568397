"""The week page: days across, crews down, the shelf beside; changes nothing."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from django.db.models import Q, QuerySet

from contractor.access import Scope
from contractor.models import Branch, Crew
from contractor.workdays import IsoWeek
from scheduling.gather.crews import Calendar, planner_crews
from scheduling.gather.gathered import GatherError, Ground, ground_of
from scheduling.gather.placed import Placement
from scheduling.gather.rows import Rows, rows_read
from scheduling.models import CrewDay, PlanningRun
from scheduling.weeks.queries.shelf import shelf_of
from scheduling.weeks.queries.strips import Strips
from scheduling.weeks.shapes import CrewDayCell, CrewRow, DayHead, WeekHead, WeekPage

HEAVY_FIELDS = ("problem", "best_plan", "progress", "outcome")


def branches_visible(scope: Scope) -> QuerySet[Branch]:
    """Return the branches that a person sees, with their costs."""
    branches = Branch.objects.select_related("costs")
    return branches if scope.all_branches else branches.filter(pk__in=scope.branch_ids)


def week_page(
    *, branch: Branch, week: IsoWeek, weeks: int = 1, today: date, posted: bool = False
) -> WeekPage:
    """Return so many weeks of a branch as the office means them, or as they are posted.

    The branch must come from `branches_visible`. The number of statements is constant.
    """
    rows = rows_read(branch=branch, first=week, weeks=weeks, today=today)
    shown = _shown(rows, posted)
    ground = _ground(rows)
    strips = Strips.of(rows, shown)
    days = _days(rows)
    run, proposal = _runs(branch)
    return WeekPage(
        branch=branch,
        heads=tuple(_head(rows, strips, week.plus(number)) for number in range(weeks)),
        days=days,
        rows=tuple(_crew_rows(rows, shown, strips, days)),
        shelf=shelf_of(ground, shown) if ground else (),
        revisions={
            str(week.plus(number)): _revision(rows, week.plus(number)) for number in range(weeks)
        },
        run=run,
        proposal=proposal,
        guessed=_guessed(rows, ground),
        rows_read=rows,
    )


def _shown(rows: Rows, posted: bool) -> tuple[Placement, ...]:
    return rows.placements.posted if posted else rows.placements.effective


def _ground(rows: Rows) -> Ground | None:
    """Return what can be planned; of a week that has gone by nothing, and no shelf."""
    try:
        return ground_of(rows)
    except GatherError:
        return None


def _runs(branch: Branch) -> tuple[PlanningRun | None, PlanningRun | None]:
    """Return the run under way and the newest proposal; one statement."""
    is_under_way = Q(state__in=PlanningRun.UNDER_WAY)
    is_open = Q(state__in=PlanningRun.PROPOSING, verdict=PlanningRun.Verdict.OPEN)
    runs = branch.runs.filter(is_under_way | is_open).defer(*HEAVY_FIELDS)[:10]
    found = list(runs)
    return (
        next((run for run in found if run.state in PlanningRun.UNDER_WAY), None),
        next((run for run in found if run.state in PlanningRun.PROPOSING), None),
    )


def _revision(rows: Rows, week: IsoWeek) -> int:
    return rows.week_rows[week].revision if week in rows.week_rows else 0


def _head(rows: Rows, strips: Strips, week: IsoWeek) -> WeekHead:
    row = rows.week_rows.get(week)
    return WeekHead(
        week=week,
        revision=_revision(rows, week),
        has_draft=row is not None and row.has_draft,
        has_posted=row is not None and row.has_posted,
        changes=strips.changes(week),
    )


def _days(rows: Rows) -> tuple[DayHead, ...]:
    """Return the working days, and the weekdays that a holiday closes."""
    return tuple(
        DayHead(day, rows.holidays.get(day, ""), day == rows.today, day < rows.today)
        for number in range(rows.weeks)
        for day in rows.first.plus(number).days()
        if day.weekday() in rows.work.weekdays
    )


def _crew_rows(
    rows: Rows, shown: Sequence[Placement], strips: Strips, days: Sequence[DayHead]
) -> Iterable[CrewRow]:
    dates = tuple(day.date for day in days)
    minutes = _crew_minutes(rows, dates)
    machines = _machines({part.crew_day_id for part in shown if part.day in dates})
    for crew in _crews(rows, shown):
        there = minutes.get(crew.pk, {})
        yield CrewRow(crew, tuple(_cell(crew, day, there, machines, strips) for day in days))


def _cell(
    crew: Crew,
    day: DayHead,
    minutes: Mapping[date, tuple[int, int]],
    machines: Mapping[int, list[str]],
    strips: Strips,
) -> CrewDayCell:
    available, overtime = minutes.get(day.date, (0, 0))
    stops, home_minutes = strips.of_crew_day(crew.pk, day.date)
    crew_day = strips.crew_day_id(crew.pk, day.date)
    return CrewDayCell(
        crew_id=crew.pk,
        date=day.date,
        is_past=day.is_past,
        available_minutes=available,
        overtime_minutes=overtime,
        stops=stops,
        home_minutes=home_minutes,
        machines=tuple(machines.get(crew_day, ())) if crew_day else (),
        differs=strips.differs(crew.pk, day.date),
    )


def _crew_minutes(rows: Rows, days: tuple[date, ...]) -> dict[int, dict[date, tuple[int, int]]]:
    """Return usual minutes and overtime of each crew on each day of the page, days gone by too."""
    if not days:
        return {}
    steps = [entry.step for outlook in rows.outlooks for entry in outlook.steps]
    crews = planner_crews(rows.crews, steps, rows.branch, Calendar(rows.work, days))
    return {
        facts.crew.pk: dict(zip(days, zip(row.minutes, row.overtime, strict=True), strict=True))
        for facts, row in zip(rows.crews, crews, strict=True)
    }


def _crews(rows: Rows, shown: Sequence[Placement]) -> list[Crew]:
    """Return crews that can go out, then any other that the weeks still name; one query or none."""
    crews = [facts.crew for facts in rows.crews]
    known = {crew.pk for crew in crews}
    first, last = rows.first.monday, rows.last_date
    others = {part.crew_id for part in shown if first <= part.day <= last} - known
    return [*crews, *(Crew.objects.filter(pk__in=others) if others else ())]


def _machines(crew_day_ids: set[int]) -> dict[int, list[str]]:
    """Return the names of the machines that crew-days take along; one query."""
    links = CrewDay.machines.through.objects.filter(crewday__in=crew_day_ids)
    found: dict[int, list[str]] = {}
    for crew_day, name in links.order_by("machine__name").values_list(
        "crewday_id", "machine__name"
    ):
        found.setdefault(crew_day, []).append(name)
    return found


def _guessed(rows: Rows, ground: Ground | None) -> tuple[str, ...]:
    """Return the sites of open jobs whose place is to be asked for."""
    sites = {outlook.job.site.place: outlook.job.site.name for outlook in rows.outlooks}
    drives = ground.drives.table.guessed if ground else ()
    return tuple(sorted(sites[drive.id] for drive in drives))
