"""Small invented planning problems, and plans for them, that can be worked out on paper."""

from __future__ import annotations

from typing import Any

from scheduling.planning.findings import Finding, PlainWords, worded
from scheduling.planning.plan import Part, Plan, Stop, Visit
from scheduling.planning.problem import Problem, parse_problem

COSTS = {
    "travel_minute": 100,
    "overtime_minute": 140,
    "crew_day": 2500,
    "handoff": 4000,
    "change_day": 6000,
    "change_crew": 2500,
}


def plain(found: Finding) -> str:
    """Return a finding of the small week as the planner's own commands word it."""
    return worded(found, PlainWords(week().days))


def step_data(step: str, minutes: dict[str, int], days: int = 4, **changes: Any) -> dict[str, Any]:
    """Return a step that may start on any day, without machine and lag."""
    data = {
        "id": step,
        "kind": "air_seal",
        "minutes": minutes,
        "machine": None,
        "lag_days": 0,
        "risk": [0.0] * days,
        "turned_away": 10000,
    }
    return data | changes


def job_data(job: str, place: str, steps: list[dict[str, Any]], **changes: Any) -> dict[str, Any]:
    """Return a job with 20 minutes of set-up, promised for day 3."""
    data = {
        "id": job,
        "place": place,
        "setup_minutes": 20,
        "promised_day": 3,
        "late_cost": 15000,
        "wait_cost": 400,
        "unplaced_cost": 120000,
        "steps": steps,
    }
    return data | changes


def week_data(**changes: Any) -> dict[str, Any]:
    """Return two crews, four days, one blower; job A of three steps, job B of one long step.

    The yard lies 10 minutes from either site, the sites 15 from one another.
    """
    both = {"ash": 120, "birch": 120}
    data = {
        "format": "week-problem/1",
        "days": ["2027-03-01", "2027-03-02", "2027-03-03", "2027-03-04"],
        "places": [{"id": "yard"}, {"id": "north"}, {"id": "south"}],
        "travel_minutes": [[0, 10, 10], [10, 0, 15], [10, 15, 0]],
        "crews": [
            {"id": "ash", "home": "yard", "minutes": [480] * 4, "overtime": [90] * 4},
            {"id": "birch", "home": "yard", "minutes": [480, 0, 480, 480], "overtime": [0] * 4},
        ],
        "machines": [{"kind": "blower", "available": [1, 1, 1, 1]}],
        "jobs": [
            job_data(
                "A",
                "north",
                [
                    step_data("A/1", both),
                    step_data("A/2", both, machine="blower", risk=[1.0, 0.25, 0.1, 0.0]),
                    step_data("A/3", {"ash": 60}, machine="blower", lag_days=1),
                ],
                promised_day=1,
            ),
            job_data("B", "south", [step_data("B/1", {"ash": 600, "birch": 700})]),
            job_data("C", "south", [step_data("C/1", {"birch": 90}, machine="blower")]),
        ],
        "max_stops": 3,
        "min_part_minutes": 60,
        "fixed": [],
        "posted": [],
        "costs": COSTS,
    }
    return data | changes


def week(**changes: Any) -> Problem:
    """Return the small week as a problem, top-level fields replaced by `changes`."""
    return parse_problem(week_data(**changes))


def visit(crew: str, day: int, **stops: dict[str, int]) -> Visit:
    """Return a crew-day; `A={"1": 120}` is a stop at job A with 120 minutes of step A/1."""
    return Visit(
        crew,
        day,
        tuple(
            Stop(job, tuple(Part(f"{job}/{number}", m) for number, m in parts.items()))
            for job, parts in stops.items()
        ),
    )


def clean_plan() -> Plan:
    """Return a plan of the small week that keeps every rule.

    Ash does A/1 (with 290 minutes of B left for day 1); B/1 is divided: 440 + 160 minutes.
    """
    return Plan(
        (
            visit("ash", 0, B={"1": 440}),
            visit("ash", 1, B={"1": 160}, A={"1": 120, "2": 120}),
            visit("ash", 2, A={"3": 60}),
            visit("birch", 3, C={"1": 90}),
        )
    )
