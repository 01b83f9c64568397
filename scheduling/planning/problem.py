"""The planning problem, format week-problem/1; knows no plan, no cost of one and no solver."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from functools import cached_property
from typing import Any

from scheduling.planning.reading import Field, FormatError, load_json, quote

FORMAT = "week-problem/1"
# More minutes than a day, a drive around the world or a step has, and more days than any promise
# is off: with rates of up to ten million dollars every cost stays exact.
LONGEST_DAY_MINUTES = 10_000
LONGEST_DRIVE_MINUTES = 100_000
LONGEST_STEP_MINUTES = 1_000_000
FARTHEST_DAY = 10_000


class ProblemError(FormatError):
    """A file is not a valid problem; the message starts with the path of the bad field."""


@dataclass(frozen=True)
class Crew:
    """A crew: where it starts and ends its day, its minutes and its possible overtime by day.

    `starts` says by day where it starts if that is not at home; empty where it always is.
    """

    id: str
    home: str
    minutes: tuple[int, ...]
    overtime: tuple[int, ...]
    starts: tuple[str, ...] = ()

    def start_on(self, day: int) -> str:
        """Return the place from which it drives off on a day."""
        return self.starts[day] if self.starts else self.home


@dataclass(frozen=True)
class Machine:
    """A kind of machine and how many of it there are on each day."""

    kind: str
    available: tuple[int, ...]


@dataclass(frozen=True)
class Step:
    """One step of a job: minutes by able crew, and the chance by day that it cannot start."""

    id: str
    kind: str
    minutes: Mapping[str, int]
    machine: str | None
    lag_days: int
    risk: tuple[float, ...]
    turned_away: int


@dataclass(frozen=True)
class Job:
    """A job at one place: its steps in order and what lateness, waiting, leaving out cost."""

    id: str
    place: str
    setup_minutes: int
    promised_day: int
    late_cost: int
    wait_cost: int
    unplaced_cost: int
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Assignment:
    """A step on a crew's day: an entry of `fixed`, `posted` or `barred`."""

    step: str
    crew: str
    day: int


@dataclass(frozen=True)
class Costs:
    """The branch's rates in cents."""

    travel_minute: int
    overtime_minute: int
    crew_day: int
    handoff: int
    change_day: int
    change_crew: int


@dataclass(frozen=True)
class Problem:
    """Everything that a plan of some days must respect and pay for.

    `barred` are crew's days on which a step must not start, beside those closed to every crew.
    """

    days: tuple[str, ...]
    places: tuple[str, ...]
    travel_minutes: tuple[tuple[int, ...], ...]
    crews: tuple[Crew, ...]
    machines: tuple[Machine, ...]
    jobs: tuple[Job, ...]
    max_stops: int
    min_part_minutes: int
    fixed: tuple[Assignment, ...]
    posted: tuple[Assignment, ...]
    costs: Costs
    barred: tuple[Assignment, ...] = ()

    @cached_property
    def place_index(self) -> dict[str, int]:
        """The row of each place in `travel_minutes`."""
        return {place: i for i, place in enumerate(self.places)}

    @cached_property
    def crew_by_id(self) -> dict[str, Crew]:
        """Each crew by its id."""
        return {crew.id: crew for crew in self.crews}

    @cached_property
    def job_by_id(self) -> dict[str, Job]:
        """Each job by its id."""
        return {job.id: job for job in self.jobs}

    @cached_property
    def place_of_step(self) -> dict[str, tuple[Job, int]]:
        """The job of each step id and its position in that job."""
        return {step.id: (job, i) for job in self.jobs for i, step in enumerate(job.steps)}

    def drive(self, start: str, end: str) -> int:
        """Return the minutes from one place to another."""
        return self.travel_minutes[self.place_index[start]][self.place_index[end]]


def parse_problem(data: Any) -> Problem:
    """Return the problem that decoded JSON describes.

    Raises ProblemError whose message starts with the path of the first bad field, such as
    `jobs[3].steps[0].risk: 9 values for 10 days`.
    """
    try:
        return _problem(Field(data, ""))
    except FormatError as error:
        raise ProblemError(str(error)) from None


def read_problem(text: str | bytes) -> Problem:
    """Return the problem in the text of a file. Raises ProblemError."""
    try:
        return parse_problem(load_json(text))
    except FormatError as error:
        raise ProblemError(str(error)) from None


def problem_to_json(problem: Problem) -> dict[str, Any]:
    """Return the problem as plain values, the inverse of `parse_problem`."""
    data = asdict(problem)
    data["places"] = [{"id": place} for place in problem.places]
    for crew in data["crews"]:
        if not crew["starts"]:
            del crew["starts"]
    if not problem.barred:
        del data["barred"]
    return {"format": FORMAT, **_plain(data)}


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _plain(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(entry) for entry in value]
    return value


def _problem(root: Field) -> Problem:
    form = root.get("format")
    if form.value != FORMAT:
        raise form.expect(f'"{FORMAT}"')
    days = _days(root.get("days"))
    places = _unique(root.get("places").each(), "id")
    crews = tuple(_crew(entry, len(days), places) for entry in root.get("crews").each())
    machines = tuple(_machine(entry, len(days)) for entry in root.get("machines").each())
    _unique(root.get("crews").each(), "id")
    kinds = _unique(root.get("machines").each(), "kind")
    crew_ids = {crew.id for crew in crews}
    jobs = tuple(
        _job(entry, len(days), places, crew_ids, kinds) for entry in root.get("jobs").each()
    )
    _check_ids(root)
    step_ids = {step.id for job in jobs for step in job.steps}
    posted = _assignments(root.get("posted"), step_ids, crew_ids, len(days))
    _refuse_repeats(root.get("posted"))
    return Problem(
        days=days,
        places=places,
        travel_minutes=_matrix(root.get("travel_minutes"), len(places)),
        crews=crews,
        machines=machines,
        jobs=jobs,
        max_stops=root.get("max_stops").whole(1),
        min_part_minutes=root.get("min_part_minutes").whole(1),
        fixed=_assignments(root.get("fixed"), step_ids, crew_ids, len(days)),
        posted=posted,
        costs=_costs(root.get("costs")),
        barred=_barred(root, step_ids, crew_ids, len(days)),
    )


def _days(field: Field) -> tuple[str, ...]:
    entries = field.each()
    if not entries:
        raise field.fail("at least one day expected")
    found: list[date] = []
    for entry in entries:
        try:
            found.append(date.fromisoformat(entry.text()))
        except ValueError:
            raise entry.expect("a date such as 2027-03-01") from None
        if len(found) > 1 and found[-1] <= found[-2]:
            raise entry.fail("days must follow one another")
    return tuple(day.isoformat() for day in found)


def _unique(entries: Iterable[Field], key: str) -> tuple[str, ...]:
    seen: dict[str, None] = {}
    for entry in entries:
        name = entry.get(key)
        if name.text() in seen:
            raise name.fail(f"{quote(name.text())} stands twice")
        seen[name.text()] = None
    return tuple(seen)


def _known(field: Field, names: Iterable[str], what: str) -> str:
    if field.text() not in names:
        raise field.fail(f"there is no {what} {quote(field.text())}")
    return field.text()


def _crew(field: Field, days: int, places: tuple[str, ...]) -> Crew:
    return Crew(
        id=field.get("id").text(),
        home=_known(field.get("home"), places, "place"),
        minutes=field.get("minutes").wholes(days, "days", LONGEST_DAY_MINUTES),
        overtime=field.get("overtime").wholes(days, "days", LONGEST_DAY_MINUTES),
        starts=_starts(field, days, places),
    )


def _starts(crew: Field, days: int, places: tuple[str, ...]) -> tuple[str, ...]:
    """Return where the crew starts each day; a file that does not say so means its home."""
    if not crew.has("starts"):
        return ()
    return tuple(_known(e, places, "place") for e in crew.get("starts").counted(days, "days"))


def _machine(field: Field, days: int) -> Machine:
    return Machine(field.get("kind").text(), field.get("available").wholes(days, "days"))


def _job(
    field: Field, days: int, places: tuple[str, ...], crews: set[str], kinds: tuple[str, ...]
) -> Job:
    steps = field.get("steps")
    if not steps.each():
        raise steps.fail("at least one step expected")
    return Job(
        id=field.get("id").text(),
        place=_known(field.get("place"), places, "place"),
        setup_minutes=field.get("setup_minutes").whole(0, LONGEST_DAY_MINUTES),
        promised_day=field.get("promised_day").whole(-FARTHEST_DAY, FARTHEST_DAY),
        late_cost=field.get("late_cost").whole(),
        wait_cost=field.get("wait_cost").whole(),
        unplaced_cost=field.get("unplaced_cost").whole(),
        steps=tuple(_step(entry, days, crews, kinds) for entry in steps.each()),
    )


def _step(field: Field, days: int, crews: set[str], kinds: tuple[str, ...]) -> Step:
    machine = field.get("machine")
    minutes = {}
    for crew, entry in field.get("minutes").items():
        if crew not in crews:
            raise entry.fail(f"there is no crew {quote(crew)}")
        minutes[crew] = entry.whole(1, LONGEST_STEP_MINUTES)
    return Step(
        id=field.get("id").text(),
        kind=field.get("kind").text(),
        minutes=minutes,
        machine=None if machine.value is None else _known(machine, kinds, "machine"),
        lag_days=field.get("lag_days").whole(0, FARTHEST_DAY),
        risk=tuple(entry.share() for entry in field.get("risk").counted(days, "days")),
        turned_away=field.get("turned_away").whole(),
    )


def _check_ids(root: Field) -> None:
    jobs = root.get("jobs").each()
    _unique(jobs, "id")
    _unique((step for job in jobs for step in job.get("steps").each()), "id")


def _matrix(field: Field, count: int) -> tuple[tuple[int, ...], ...]:
    return tuple(
        row.wholes(count, "places", LONGEST_DRIVE_MINUTES) for row in field.counted(count, "places")
    )


def _assignments(
    field: Field, steps: set[str], crews: set[str], days: int
) -> tuple[Assignment, ...]:
    return tuple(
        Assignment(
            step=_known(entry.get("step"), steps, "step"),
            crew=_known(entry.get("crew"), crews, "crew"),
            day=entry.get("day").whole(0, days - 1),
        )
        for entry in field.each()
    )


def _barred(root: Field, steps: set[str], crews: set[str], days: int) -> tuple[Assignment, ...]:
    return _assignments(root.get("barred"), steps, crews, days) if root.has("barred") else ()


def _refuse_repeats(posted: Field) -> None:
    _unique(posted.each(), "step")


def _costs(field: Field) -> Costs:
    names = ("travel_minute", "overtime_minute", "crew_day", "handoff", "change_day")
    values = {name: field.get(name).whole() for name in (*names, "change_crew")}
    return Costs(**values)
