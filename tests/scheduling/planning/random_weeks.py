"""Random small problems in which everything happens: divided steps, lags, machines, locks."""

from __future__ import annotations

import random
from typing import Any

from scheduling.planning.problem import Problem, parse_problem


def random_week(seed: int, jobs: int = 3, crews: int = 2, days: int = 4) -> Problem:
    """Return a small problem drawn from `seed`; days are short, so that many steps divide."""
    draw = random.Random(seed)
    names = [f"crew-{c}" for c in range(crews)]
    places = ["yard", *(f"site-{j}" for j in range(jobs))]
    alike = draw.random() < 0.5
    base = _hours(draw, days)
    data: dict[str, Any] = {
        "format": "week-problem/1",
        "days": [f"2027-03-{d + 1:02d}" for d in range(days)],
        "places": [{"id": place} for place in places],
        "travel_minutes": _travel(draw, len(places)),
        "crews": [
            {"id": name, "home": "yard"} | (base if alike else _hours(draw, days)) for name in names
        ],
        "machines": [{"kind": "blower", "available": [draw.choice([1, 1, 2])] * days}],
        "jobs": [_job(draw, j, names, days, alike) for j in range(jobs)],
        "max_stops": draw.choice([1, 2, 3, 3]),
        "min_part_minutes": draw.choice([20, 40]),
        "fixed": [],
        "posted": [],
        "costs": {
            "travel_minute": draw.choice([0, 30, 110]),
            "overtime_minute": draw.choice([0, 70, 140]),
            "crew_day": draw.choice([0, 2500]),
            "handoff": draw.choice([0, 4000]),
            "change_day": 6000,
            "change_crew": 2500,
        },
    }
    _assign(draw, data, names, days)
    return parse_problem(data)


def _hours(draw: random.Random, days: int) -> dict[str, list[int]]:
    minutes = [draw.choice([0, 150, 200, 200, 200]) for _ in range(days)]
    return {"minutes": minutes, "overtime": [draw.choice([0, 30, 60])] * days}


def _travel(draw: random.Random, count: int) -> list[list[int]]:
    points = [(draw.randint(0, 20), draw.randint(0, 20)) for _ in range(count)]
    return [[abs(a - c) + abs(b - d) for c, d in points] for a, b in points]


def _job(draw: random.Random, j: int, names: list[str], days: int, alike: bool) -> dict[str, Any]:
    count = draw.choice([1, 2, 2, 3])
    return {
        "id": f"job-{j}",
        "place": f"site-{j}",
        "setup_minutes": draw.choice([0, 10, 20]),
        "promised_day": draw.randint(0, days + 1),
        "late_cost": draw.choice([0, 5000, 15000]),
        "wait_cost": draw.choice([0, 400]),
        "unplaced_cost": draw.choice([5000, 40000]),
        "steps": [_step(draw, f"job-{j}/{i}", names, days, alike) for i in range(count)],
    }


def _step(
    draw: random.Random, name: str, names: list[str], days: int, alike: bool
) -> dict[str, Any]:
    minutes = draw.choice([25, 60, 90, 130, 180, 230, 300, 420])
    able = [crew for crew in names if draw.random() < 0.85]
    return {
        "id": name,
        "kind": "batt",
        "minutes": {
            crew: minutes if alike else minutes + draw.choice([-10, 0, 7, 30]) for crew in able
        },
        "machine": draw.choice([None, None, "blower"]),
        "lag_days": draw.choice([0, 0, 0, 1, 2]),
        "risk": [draw.choice([0.0, 0.0, 0.25, 0.6, 1.0]) for _ in range(days)],
        "turned_away": draw.choice([0, 10000]),
    }


def _assign(draw: random.Random, data: dict[str, Any], names: list[str], days: int) -> None:
    """Post some steps and sometimes fix the first step of a job to an able crew's open day."""
    for job in data["jobs"]:
        for step in job["steps"]:
            if draw.random() < 0.3:
                entry = {"step": step["id"], "crew": draw.choice(names)}
                data["posted"].append(entry | {"day": draw.randrange(days)})
    step = draw.choice(data["jobs"])["steps"][0]
    if draw.random() < 0.3 and step["minutes"]:
        entry = {"step": step["id"], "crew": draw.choice(sorted(step["minutes"]))}
        data["fixed"].append(entry | {"day": draw.randrange(days)})
