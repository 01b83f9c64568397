"""What the pages of weeks and crew-days are made of; reads nothing."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time

from contractor.models import Branch, Crew
from contractor.workdays import IsoWeek
from jobs.conditions.readiness import Marks
from jobs.conditions.sentences import Sentence
from jobs.models import Condition, Job, Superintendent
from scheduling.gather.holdups import HoldUp
from scheduling.gather.rows import Rows
from scheduling.models import PlanningRun
from scheduling.progress import DayProgress, DayTimes, Meal, Window


@dataclass(frozen=True)
class StripPart:
    """Minutes of one step at a stop; `of_minutes` is the whole step for that crew.

    bags: what the part needs of what is blown; None on pages that do not tell.
    """

    step_id: int
    kind: str
    name: str
    minutes: int
    of_minutes: int
    bags: float | None = None


@dataclass(frozen=True)
class ReadinessMarks:
    """How ready a house is: its marks, "4 of 6" and what is open, and the line."""

    line: str
    marks: Marks


@dataclass(frozen=True)
class Strip:
    """One stop on the week page."""

    stop_id: int
    job_id: int
    title: str
    builder: str
    site: str
    drive_minutes: int
    setup_minutes: int
    parts: tuple[StripPart, ...]
    line: str
    marks: Marks
    chance: float
    differs: bool
    late_days: int
    promised_date: date | None

    @property
    def work_minutes(self) -> int:
        """Minutes worked on steps, without set-up and drive."""
        return sum(part.minutes for part in self.parts)

    @property
    def minutes(self) -> int:
        """Minutes at the house: set-up and work."""
        return self.setup_minutes + self.work_minutes


@dataclass(frozen=True)
class CrewDayCell:
    """One crew on one day: what it has, what the plan uses of it, and its stops."""

    crew_id: int
    date: date
    is_past: bool
    available_minutes: int
    overtime_minutes: int
    stops: tuple[Strip, ...]
    home_minutes: int
    machines: tuple[str, ...]
    differs: bool

    @property
    def is_off(self) -> bool:
        """Whether the crew does not work on this day."""
        return self.available_minutes == 0

    @property
    def used_minutes(self) -> int:
        """Drive, set-up and work together."""
        return self.home_minutes + sum(stop.drive_minutes + stop.minutes for stop in self.stops)

    @property
    def over_minutes(self) -> int:
        """Minutes of overtime that the plan uses."""
        return max(0, self.used_minutes - self.available_minutes)

    @property
    def free_minutes(self) -> int:
        """Usual minutes that the plan leaves."""
        return max(0, self.available_minutes - self.used_minutes)


@dataclass(frozen=True)
class CrewRow:
    """A crew with a cell for each day of the page."""

    crew: Crew
    cells: tuple[CrewDayCell, ...]


@dataclass(frozen=True)
class DayHead:
    """A day of the page: a working day, or a weekday that a holiday closes."""

    date: date
    closed: str
    is_today: bool
    is_past: bool


@dataclass(frozen=True)
class WeekHead:
    """A week of the page; `changes` counts the stops in which its draft differs from the posted."""

    week: IsoWeek
    revision: int
    has_draft: bool
    has_posted: bool
    changes: int

    @property
    def label(self) -> str:
        """The week as ISO 8601 writes it."""
        return str(self.week)

    @property
    def previous(self) -> IsoWeek:
        """The week before."""
        return self.week.plus(-1)

    @property
    def next(self) -> IsoWeek:
        """The week after."""
        return self.week.plus(1)


@dataclass(frozen=True)
class ShelfJob:
    """A job with steps that no plan holds, and what holds it up."""

    job_id: int
    title: str
    builder: str
    why: tuple[Sentence, ...]
    promised_date: date | None
    steps: tuple[str, ...]
    minutes: int
    line: str
    marks: Marks


@dataclass(frozen=True)
class ShelfGroup:
    """The jobs that one kind of hold-up keeps off the plan."""

    hold_up: HoldUp
    title: str
    jobs: tuple[ShelfJob, ...]


@dataclass(frozen=True)
class WeekPage:
    """Everything that the week page shows."""

    branch: Branch
    heads: tuple[WeekHead, ...]
    days: tuple[DayHead, ...]
    rows: tuple[CrewRow, ...]
    shelf: tuple[ShelfGroup, ...]
    revisions: Mapping[str, int]
    run: PlanningRun | None
    proposal: PlanningRun | None
    guessed: tuple[str, ...]
    rows_read: Rows

    @property
    def longest_minutes(self) -> int:
        """The longest crew-day, used or available: one scale for the whole page."""
        cells = [cell for row in self.rows for cell in row.cells]
        return max((max(c.used_minutes, c.available_minutes) for c in cells), default=0)


@dataclass(frozen=True)
class TruckLoad:
    """Something to load: an amount of an item in a unit."""

    item: str
    quantity: float
    unit: str


@dataclass(frozen=True)
class CrewStop:
    """One stop of a crew's day, with its times and what to know before starting."""

    job: Job
    drive_minutes: int
    arrive: time
    leave: time
    setup_minutes: int
    parts: tuple[StripPart, ...]
    loads: tuple[TruckLoad, ...]
    ready: ReadinessMarks | None
    conditions: tuple[Condition, ...]
    window: Window

    @property
    def title(self) -> str:
        """The house as the office calls it."""
        return str(self.job)

    @property
    def address(self) -> str:
        """Where it stands."""
        return self.job.site.address

    @property
    def latitude(self) -> float | None:
        """Degrees north, where known."""
        value = self.job.site.latitude
        return None if value is None else float(value)

    @property
    def longitude(self) -> float | None:
        """Degrees east, where known."""
        value = self.job.site.longitude
        return None if value is None else float(value)

    @property
    def builder(self) -> str:
        """The customer company."""
        return self.job.site.builder.name

    @property
    def superintendent(self) -> Superintendent | None:
        """Who runs the site."""
        return self.job.site.superintendent


@dataclass(frozen=True)
class CrewDayLine:
    """A posted crew-day in a list."""

    crew: Crew
    date: date
    stops: tuple[str, ...]
    minutes: int


@dataclass(frozen=True)
class CrewDayPage:
    """A posted crew-day as the crew sees it."""

    crew: Crew
    branch: Branch
    date: date
    start: time
    end: time
    members: tuple[str, ...]
    machines: tuple[str, ...]
    stops: tuple[CrewStop, ...]
    home_minutes: int
    loads: tuple[TruckLoad, ...]
    version_id: int
    times: DayTimes
    clock: Callable[..., DayTimes]

    @property
    def meal(self) -> Meal | None:
        """The planned meal; None on a short day."""
        return self.times.meal

    def expected(self, progress: DayProgress, now: datetime) -> DayTimes:
        """Return times by what was said of the day so far, the rest as expected from now."""
        return self.clock(progress=progress, now=now)


@dataclass(frozen=True)
class RunPage:
    """How a planning run goes, and what accepting its plan would move.

    because: of a plan for the rest of a day, why it was asked for. counts_on: when and where each
    crew is taken to be free that day.
    """

    cost: int | None
    bound: int | None
    gap: float | None
    seconds: float
    points: tuple[tuple[float, int, int], ...]
    changes: tuple[str, ...]
    attempt: int
    is_starting: bool
    because: tuple[str, ...] = ()
    counts_on: tuple[str, ...] = ()
