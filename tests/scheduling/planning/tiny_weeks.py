"""Random tiny problems with days of some twenty minutes, whose plans can all be listed."""

from __future__ import annotations

import random
from typing import Any

from scheduling.planning.problem import Problem, parse_problem

CREWS = ("ash", "birch")
MOST_STEPS = 5


def tiny_week(seed: int) -> Problem:
    """Return two crews, two to four days, two or three jobs with at most five steps in all."""
    draw = random.Random(seed)
    days = draw.choice([2, 3, 3, 4])
    counts = draw.choice([[1, 1], [1, 2], [2, 2], [1, 1, 1], [1, 1, 2], [2, 1, 2], [3, 1], [1, 3]])
    places = ["yard", *(f"site-{j}" for j in range(len(counts)))]
    alike = draw.random() < 0.5
    base = _hours(draw, days)
    jobs = [_job(draw, j, count, days, alike) for j, count in enumerate(counts)]
    data: dict[str, Any] = {
        "format": "week-problem/1",
        "days": [f"2027-03-{day + 1:02d}" for day in range(days)],
        "places": [{"id": place} for place in places],
        "travel_minutes": _travel(draw, len(places)),
        "crews": [
            {"id": name, "home": "yard"} | (base if alike else _hours(draw, days)) for name in CREWS
        ],
        "machines": [{"kind": "blower", "available": [draw.choice([0, 1, 1, 2])] * days}],
        "jobs": jobs,
        "max_stops": draw.choice([1, 2, 3]),
        "min_part_minutes": draw.choice([2, 3, 4, 5]),
        "fixed": [],
        "posted": [],
        "costs": {
            "travel_minute": draw.choice([0, 30, 110]),
            "overtime_minute": draw.choice([0, 50, 140]),
            "crew_day": draw.choice([0, 300]),
            "handoff": draw.choice([0, 400]),
            "change_day": 600,
            "change_crew": 250,
        },
    }
    _assign(draw, data, days)
    return parse_problem(data)


def _hours(draw: random.Random, days: int) -> dict[str, list[int]]:
    minutes = [draw.choice([0, 15, 20, 20, 20, 24]) for _ in range(days)]
    return {"minutes": minutes, "overtime": [draw.choice([0, 0, 3, 6]) for _ in range(days)]}


def _travel(draw: random.Random, count: int) -> list[list[int]]:
    """Return minutes between points of a small town; one in five has a short cut."""
    points = [(draw.randint(0, 3), draw.randint(0, 3)) for _ in range(count)]
    minutes = [[abs(a - c) + abs(b - d) for c, d in points] for a, b in points]
    if draw.random() < 0.2:
        a, b = draw.sample(range(count), 2)
        minutes[a][b] = 7
    return minutes


def _job(draw: random.Random, j: int, count: int, days: int, alike: bool) -> dict[str, Any]:
    """Return a job; of the longer ones most steps are divided, and steps share days."""
    longer = draw.random() < 0.4
    lengths = [13, 18, 23, 27, 30] if longer else [3, 6, 9, 13, 18, 23, 30, 42]
    if count > 2:
        lengths = lengths[:-2]
    steps = [_step(draw, f"job-{j}/{i}", days, alike, lengths) for i in range(count)]
    if longer:
        steps = [step | {"lag_days": 0, "risk": [0.0] * days} for step in steps]
    return {
        "id": f"job-{j}",
        "place": f"site-{j}",
        "setup_minutes": draw.choice([0, 1, 3]),
        "promised_day": draw.randint(0, days),
        "late_cost": draw.choice([0, 500, 1500]),
        "wait_cost": draw.choice([0, 40]),
        "unplaced_cost": 4000 if longer else draw.choice([500, 4000]),
        "steps": steps,
    }


def _step(
    draw: random.Random, name: str, days: int, alike: bool, lengths: list[int]
) -> dict[str, Any]:
    minutes = draw.choice(lengths)
    able = [crew for crew in CREWS if draw.random() < 0.85]
    pace = {crew: minutes if alike else minutes + draw.choice([-1, 0, 2, 4]) for crew in able}
    return {
        "id": name,
        "kind": "batt",
        "minutes": pace,
        "machine": draw.choice([None, None, "blower"]),
        "lag_days": draw.choice([0, 0, 0, 1, 2]),
        "risk": [draw.choice([0.0, 0.0, 0.25, 0.6, 1.0]) for _ in range(days)],
        "turned_away": draw.choice([0, 1000]),
    }


def _assign(draw: random.Random, data: dict[str, Any], days: int) -> None:
    """Post some steps; one problem in three has one or two of them fixed, not always possibly."""
    steps = [step for job in data["jobs"] for step in job["steps"]]
    for step in steps:
        if draw.random() < 0.3:
            entry = {"step": step["id"], "crew": draw.choice(CREWS)}
            data["posted"].append(entry | {"day": draw.randrange(days)})
    if draw.random() < 0.25:
        for step in draw.sample(steps, draw.choice([1, 1, 2])):
            if step["minutes"]:
                entry = {"step": step["id"], "crew": draw.choice(sorted(step["minutes"]))}
                data["fixed"].append(entry | {"day": draw.randrange(days)})
