"""Crews and machines by day: who is there, for how long, and who can do what; knows no job."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal
from functools import cached_property

from django.db.models import Q

from contractor import workdays
from contractor.models import Branch, Crew, CrewMember, DayOff, Machine, Skill
from jobs.conditions.taken_over import like
from jobs.models import Step
from jobs.plan_ids import crew_plan_id
from scheduling.planning import problem as planner

FEWEST_PEOPLE = 2

SKILL_OF_STEP: Mapping[str, str] = {
    Step.Kind.AIR_SEAL: Skill.AIR_SEAL,
    Step.Kind.BAFFLES: Skill.BAFFLES,
    Step.Kind.NET: Skill.BAFFLES,
    Step.Kind.BATT: Skill.BATT,
    Step.Kind.DENSE_FILL: Skill.BLOW,
    Step.Kind.SLOPE_BLOW: Skill.BLOW,
    Step.Kind.FLAT_BLOW: Skill.BLOW,
}


@dataclass(frozen=True)
class DaysOff:
    """The dates on which each crew, member and machine is away, by id."""

    crews: Mapping[int, frozenset[date]]
    members: Mapping[int, frozenset[date]]
    machines: Mapping[int, frozenset[date]]


@dataclass(frozen=True)
class CrewFacts:
    """One crew that can be sent out: its people, what they can do, and when they are away."""

    crew: Crew
    member_ids: tuple[int, ...]
    skills: frozenset[str]
    off: DaysOff

    @property
    def id(self) -> str:
        """The planner's name of the crew."""
        return crew_plan_id(self.crew.pk)

    @property
    def people(self) -> int:
        """How many people the whole crew has."""
        return len(self.member_ids)

    def is_off(self, day: date) -> bool:
        """Tell whether the crew as a whole is away."""
        return day in self.off.crews.get(self.crew.pk, ())

    def people_on(self, day: date) -> int:
        """Tell how many of its people are there on a day."""
        return sum(day not in self.off.members.get(pk, ()) for pk in self.member_ids)

    def can_do(self, kind: str) -> bool:
        """Tell whether somebody of the crew has the skill for a kind of step."""
        return SKILL_OF_STEP[like(kind)] in self.skills

    def pace(self, kind: str) -> Decimal:
        """Return its minutes over the usual ones: learned from finished work, else as set by hand.

        What was learned is drawn towards the pace by hand already, so it stands in its place.
        """
        learned = (row.pace for row in self.crew.paces.all() if row.step_kind == like(kind))
        return next(learned, self.crew.pace)

    def step_minutes(self, step: Step) -> int:
        """Return what the step takes this crew, by people and pace: whole minutes, rounded up."""
        usual = Decimal(minutes_for(step, self.people)) * self.pace(step.kind)
        return max(1, int(usual.to_integral_value(ROUND_CEILING)))


@dataclass(frozen=True)
class Calendar:
    """The branch's calendar and the working days that are planned."""

    work: workdays.WorkCalendar
    days: tuple[date, ...]

    @cached_property
    def index_of(self) -> dict[date, int]:
        """The planner's number of each day."""
        return {day: index for index, day in enumerate(self.days)}

    def date_of(self, number: int) -> date:
        """Return the working day of a number, those past the days planned included."""
        return self.work.plus(self.days[0], number)

    def index(self, day: date) -> int:
        """Return where a date stands among the working days, counted from the first planned."""
        return self.work.index(self.days[0], day)


def holidays_read(branch: Branch) -> dict[date, str]:
    """Return the days on which the branch is closed, with their names; one query."""
    return dict(branch.holidays.values_list("date", "name"))


def minutes_for(step: Step, people: int) -> int:
    """Return what the step takes so many people, from the nearest row of its table."""
    return step.minutes_by_people.at(people)


def days_off_read(branch: Branch, first: date, last: date) -> DaysOff:
    """Return who and what is away between two dates; one query."""
    rows = DayOff.objects.filter(
        Q(crew__branch=branch) | Q(member__crew__branch=branch) | Q(machine__branch=branch),
        first_date__lte=last,
        last_date__gte=first,
    )
    found = [defaultdict[int, set[date]](set) for _ in range(3)]
    for row in rows:
        away = _dates(max(row.first_date, first), min(row.last_date, last))
        for group, key in zip(found, (row.crew_id, row.member_id, row.machine_id), strict=True):
            if key is not None:
                group[key].update(away)
    return DaysOff(*({key: frozenset(days) for key, days in group.items()} for group in found))


def crew_facts(branch: Branch, off: DaysOff) -> list[CrewFacts]:
    """Return the active crews with at least two active members, by name; three queries."""
    members = (
        CrewMember.objects.filter(crew__branch=branch, crew__active=True, active=True)
        .select_related("crew")
        .prefetch_related("skills", "crew__paces")
        .order_by("crew__name", "pk")
    )
    of_crew: dict[Crew, list[CrewMember]] = {}
    for member in members:
        of_crew.setdefault(member.crew, []).append(member)
    facts = [_facts(crew, found, off) for crew, found in of_crew.items()]
    return [crew for crew in facts if crew.people >= FEWEST_PEOPLE]


def planner_crews(
    crews: Sequence[CrewFacts], steps: Sequence[Step], branch: Branch, calendar: Calendar
) -> tuple[planner.Crew, ...]:
    """Return the crews with their minutes and overtime of each day.

    A crew that is short of a person has both cut by what its steps take the whole crew against
    what they take who is left, summed over all steps that it is able to do.
    """
    return tuple(
        planner.Crew(
            id=crew.id,
            home="yard",
            minutes=_by_day(crew, steps, branch.day_minutes, calendar),
            overtime=_by_day(crew, steps, branch.overtime_minutes, calendar),
        )
        for crew in crews
    )


def planner_machines(
    machines: Sequence[Machine], off: DaysOff, kinds: Iterable[str], calendar: Calendar
) -> tuple[planner.Machine, ...]:
    """Return how many machines of each kind that steps need are there on each day."""
    return tuple(
        planner.Machine(
            kind=kind,
            available=tuple(len(machines_on(machines, off, kind, day)) for day in calendar.days),
        )
        for kind in sorted({*kinds, *(machine.kind for machine in machines)})
    )


def machines_on(machines: Sequence[Machine], off: DaysOff, kind: str, day: date) -> list[Machine]:
    """Return the machines of a kind that are there on a day, by name."""
    there = (m for m in machines if m.kind == kind and day not in off.machines.get(m.pk, ()))
    return sorted(there, key=lambda machine: machine.name)


def _by_day(
    crew: CrewFacts, steps: Sequence[Step], minutes: int, calendar: Calendar
) -> tuple[int, ...]:
    return tuple(_minutes_on(crew, steps, minutes, calendar, day) for day in calendar.days)


def _minutes_on(
    crew: CrewFacts, steps: Sequence[Step], minutes: int, calendar: Calendar, day: date
) -> int:
    off = [day] if crew.is_off(day) else []
    whole = workdays.crew_minutes(calendar.work, day, minutes, off)
    there = crew.people_on(day)
    if there == crew.people or not whole:
        return whole
    able = [step for step in steps if crew.can_do(step.kind)]
    usual = sum(minutes_for(step, crew.people) for step in able) or 1
    left = sum(minutes_for(step, there) for step in able) or 1
    return workdays.short_crew_minutes(whole, usual, left, there)


def _facts(crew: Crew, members: Sequence[CrewMember], off: DaysOff) -> CrewFacts:
    skills = {row.skill for member in members for row in member.skills.all()}
    return CrewFacts(crew, tuple(member.pk for member in members), frozenset(skills), off)


def _dates(first: date, last: date) -> list[date]:
    return [first + timedelta(days=number) for number in range((last - first).days + 1)]
