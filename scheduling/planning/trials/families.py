"""Invented planning problems by family and seed, to try the planner on; knows no solver."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduling.planning.placing import placed_steps
from scheduling.planning.plan import Plan
from scheduling.planning.problem import Assignment, Costs, Crew, Job, Machine, Problem, Step

# All figures here are invented to look like a contractor's weeks: common practice, no source.
YARD, BLOWER, BATT = "yard", "blower", "batt"
FIRST_DAY = date(2027, 3, 1)
COSTS = Costs(
    travel_minute=110,
    overtime_minute=140,
    crew_day=2500,
    handoff=4000,
    change_day=6000,
    change_crew=2500,
)
# Sites lie around centres, which lie up to so many minutes east, west, north, south of the yard.
REACH_MINUTES, SPREAD_MINUTES, LEAST_DRIVE = 42, 3.5, 4
SITES_PER_CENTRE = 16
DAY_MINUTES, OVERTIME_MINUTES, SETUP_MINUTES = 480, 90, (20, 25, 35)
# Three people need that share of the minutes of two: more hands, some in each other's way.
SHARE_BY_PEOPLE = {2: 1.0, 3: 0.74}
OWN_PACES = (0.85, 0.9, 0.95, 1.0, 1.05)
DAY_OFF_CHANCE = 0.04
# Least and most minutes of two people; what is blown takes a blower along.
MINUTES = {
    "air_seal": (50, 230),
    BATT: (210, 950),
    "slope_blow": (90, 410),
    "flat_blow": (75, 300),
}
BLOWN = ("slope_blow", "flat_blow")
# How many of the crews are able to do these kinds of step: all seal, not all hang or blow.
ABLE = {("air_seal",): 1.0, (BATT,): 0.62, BLOWN: 0.85}
# The steps of a job and how often, of 100, they are met.
SCOPES = {
    ("air_seal", "slope_blow", "flat_blow"): 45,
    ("air_seal", "flat_blow"): 26,
    (BATT,): 17,
    (BATT, "air_seal", "flat_blow"): 12,
}
# After batts the board is hung: two whole days of another trade.
BOARD_LAG_DAYS = 3
# Some jobs are sure to be ready; of the others, how likely not yet, and how that fades by day.
SURE_CHANCE, DOUBT, FADINGS = 0.35, 0.75, (0.25, 0.5, 1.0)
# A job is promised for so many days after it should be ready.
SPARE_DAYS = (2, 6)
# Cents a day late, as agreed with different builders, and how often, of 100, they are met.
LATE_COSTS = {15000: 46, 25000: 29, 60000: 25}
TURNED_AWAY_COSTS = (15000, 22000, 30000)
WAIT_COST, UNPLACED_COST = 400, 120_000
# By so many days the two jobs of a replanned week slip.
SLIP_DAYS = (3, 4)


@dataclass(frozen=True)
class Family:
    """What the problems of a family have in common.

    `people` are the sizes of crews met; crews that are not `alike` have paces of their own
    and days off.
    """

    jobs: int
    crews: int
    days: int
    blowers: int
    people: tuple[int, ...] = (2, 3)
    alike: bool = False


FAMILIES = {
    "small": Family(10, 3, 5, 2, people=(3,), alike=True),
    "medium": Family(56, 10, 10, 7, alike=True),
    "mixed": Family(56, 10, 10, 7),
    "tight": Family(62, 8, 10, 5, people=(2, 2, 3), alike=True),
    "large": Family(110, 12, 15, 9),
    "huge": Family(170, 24, 10, 17),
}
REPLAN, REPLANNED = "replan", "medium"
NAMES = (*FAMILIES, REPLAN)


@dataclass(frozen=True)
class Skills:
    """Each crew's share of two people's minutes; the numbers of the crews able to do a kind."""

    paces: list[float]
    able: dict[str, list[int]]


def invented_week(name: str, seed: int, post: Callable[[Problem], Plan]) -> Problem:
    """Return a problem of a family of NAMES; the same seed gives the same problem.

    `post` returns the plan that was posted, asked for only where the family is REPLAN.
    """
    if name == REPLAN:
        before = invented_week(REPLANNED, seed, post)
        return after_slips(before, post(before), seed)
    family = FAMILIES[name]
    # A text as the seed is drawn from in the same way by every version of Python 3.
    draw = random.Random(f"{name} {seed}")  # noqa: S311 - no secret
    skills = Skills(_paces(draw, family), _able(draw, family.crews))
    jobs = tuple(_job(draw, n + 1, family.days, skills) for n in range(family.jobs))
    return Problem(
        days=_working_days(family.days),
        places=(YARD, *(job.place for job in jobs)),
        travel_minutes=_drives(_points(draw, family.jobs)),
        crews=_crews(draw, family),
        machines=(Machine(BLOWER, (family.blowers,) * family.days),),
        jobs=jobs,
        max_stops=3,
        min_part_minutes=60,
        fixed=(),
        posted=(),
        costs=COSTS,
    )


def after_slips(problem: Problem, plan: Plan, seed: int) -> Problem:
    """Return the problem once `plan` is posted, two jobs have slipped and a crew is sick.

    The jobs, which were to start on the first three days if there are such, start three or
    four days later at the earliest. The crew, one at work on the second day, is off on it.
    """
    draw = random.Random(f"{REPLAN} {seed}")  # noqa: S311 - no secret
    placed = placed_steps(plan)
    starts = {
        job.id: placed[job.steps[0].id].first_day
        for job in problem.jobs
        if job.steps[0].id in placed
    }
    closed = {job: starts[job] + draw.choice(SLIP_DAYS) for job in _soon(draw, starts)}
    busy = sorted({visit.crew for visit in plan.visits if visit.day == 1})
    sick = draw.choice(busy or list(problem.crew_by_id))
    return replace(
        problem,
        jobs=tuple(_slipped(job, closed.get(job.id, 0)) for job in problem.jobs),
        crews=tuple(_off(crew, 1) if crew.id == sick else crew for crew in problem.crews),
        posted=tuple(
            Assignment(step, placed[step].crew, placed[step].first_day)
            for step in problem.place_of_step
            if step in placed
        ),
    )


def _soon(draw: random.Random, starts: dict[str, int]) -> list[str]:
    """Return two of the jobs that start on the first three days, or those that start first."""
    soon = [job for job, day in starts.items() if day < 3]
    return draw.sample(soon, 2) if len(soon) > 1 else sorted(starts, key=starts.__getitem__)[:2]


def _slipped(job: Job, until: int) -> Job:
    """Return the job with every day before `until` closed."""
    steps = (
        replace(step, risk=tuple(1.0 if d < until else r for d, r in enumerate(step.risk)))
        for step in job.steps
    )
    return replace(job, steps=tuple(steps))


def _off(crew: Crew, day: int) -> Crew:
    """Return the crew with nothing to work on one day."""
    return replace(crew, minutes=_without(crew.minutes, day), overtime=_without(crew.overtime, day))


def _without(minutes: Sequence[int], day: int) -> tuple[int, ...]:
    return tuple(0 if d == day else m for d, m in enumerate(minutes))


def _working_days(count: int) -> tuple[str, ...]:
    """Return so many dates from a Monday on, without weekends."""
    return tuple((FIRST_DAY + timedelta(days=d // 5 * 7 + d % 5)).isoformat() for d in range(count))


def _points(draw: random.Random, sites: int) -> list[tuple[float, float]]:
    """Return the yard and the sites, in minutes of driving east and north of the yard."""
    centres = [
        (draw.uniform(-REACH_MINUTES, REACH_MINUTES), draw.uniform(-REACH_MINUTES, REACH_MINUTES))
        for _ in range(3 + sites // SITES_PER_CENTRE)
    ]
    sizes = [draw.uniform(0.2, 1.0) for _ in centres]
    around = draw.choices(centres, sizes, k=sites)
    near = [(draw.gauss(x, SPREAD_MINUTES), draw.gauss(y, SPREAD_MINUTES)) for x, y in around]
    return [(0.0, 0.0), *near]


def _drives(points: Sequence[tuple[float, float]]) -> tuple[tuple[int, ...], ...]:
    return tuple(
        tuple(0 if a is b else max(LEAST_DRIVE, round(math.dist(a, b))) for b in points)
        for a in points
    )


def _crews(draw: random.Random, family: Family) -> tuple[Crew, ...]:
    """Return the crews; those that are not alike are off on a day now and then."""
    usual = Crew("", YARD, (DAY_MINUTES,) * family.days, (OVERTIME_MINUTES,) * family.days)
    crews = []
    for n in range(family.crews):
        crew = replace(usual, id=f"crew-{n + 1}")
        if not family.alike and draw.random() < DAY_OFF_CHANCE * family.days:
            crew = _off(crew, draw.randrange(family.days))
        crews.append(crew)
    return tuple(crews)


def _paces(draw: random.Random, family: Family) -> list[float]:
    """Return the share of two people's minutes that each crew needs."""
    people = [SHARE_BY_PEOPLE[draw.choice(family.people)] for _ in range(family.crews)]
    return [share * (1.0 if family.alike else draw.choice(OWN_PACES)) for share in people]


def _able(draw: random.Random, crews: int) -> dict[str, list[int]]:
    """Return the numbers of the crews that are able to do each kind of step, one at least."""
    able: dict[str, list[int]] = {}
    for kinds, chance in ABLE.items():
        found = [c for c in range(crews) if draw.random() < chance] or [draw.randrange(crews)]
        able |= dict.fromkeys(kinds, found)
    return able


def _job(draw: random.Random, number: int, days: int, skills: Skills) -> Job:
    """Return a job at the site of its number, ready some day, promised some days after it."""
    kinds = draw.choices(list(SCOPES), list(SCOPES.values()))[0]
    ready = draw.randrange(days - 2)
    risk = _risk(draw, ready, days)
    steps = []
    for i, kind in enumerate(kinds):
        lag = BOARD_LAG_DAYS if i and kinds[i - 1] == BATT else 0
        steps.append(
            Step(
                id=f"job-{number}/{i + 1}",
                kind=kind,
                minutes=_minutes(draw, kind, skills),
                machine=BLOWER if kind in BLOWN else None,
                lag_days=lag,
                risk=risk,
                turned_away=draw.choice(TURNED_AWAY_COSTS),
            )
        )
    return Job(
        id=f"job-{number}",
        place=f"site-{number}",
        setup_minutes=draw.choice(SETUP_MINUTES),
        promised_day=ready + draw.randint(*SPARE_DAYS) + sum(step.lag_days for step in steps),
        late_cost=draw.choices(list(LATE_COSTS), list(LATE_COSTS.values()))[0],
        wait_cost=WAIT_COST,
        unplaced_cost=UNPLACED_COST,
        steps=tuple(steps),
    )


def _minutes(draw: random.Random, kind: str, skills: Skills) -> dict[str, int]:
    """Return the minutes of each able crew, in whole fives."""
    two_people = draw.uniform(*MINUTES[kind])
    return {
        f"crew-{c + 1}": max(5, 5 * round(two_people * skills.paces[c] / 5))
        for c in skills.able[kind]
    }


def _risk(draw: random.Random, ready: int, days: int) -> tuple[float, ...]:
    """Return the chance by day of not being ready: closed before `ready`, fading from it on."""
    doubt = 0.0 if draw.random() < SURE_CHANCE else DOUBT
    fading = draw.choice(FADINGS)
    after = (round(doubt * math.exp(-fading * (d + 1)), 3) for d in range(days - ready))
    return ((1.0,) * ready) + tuple(after)
