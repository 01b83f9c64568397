"""The problem's file: what is read is what was written, and what is bad is named."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from scheduling.planning.problem import ProblemError, parse_problem, problem_to_json, read_problem
from tests.scheduling.planning.weeks import week, week_data


def test_a_problem_survives_being_written_and_read() -> None:
    data = week_data(posted=[{"step": "A/1", "crew": "ash", "day": 0}])
    assert problem_to_json(parse_problem(data)) == data
    assert read_problem(json.dumps(data)) == parse_problem(data)


def test_lookups_find_what_the_file_names() -> None:
    problem = week()
    assert problem.drive("north", "south") == 15
    assert problem.crew_by_id["birch"].minutes == (480, 0, 480, 480)
    job, position = problem.place_of_step["A/2"]
    assert (job.id, position) == ("A", 1)


def put(data: Any, path: list[str | int], value: Any) -> None:
    for key in path[:-1]:
        data = data[key]
    data[path[-1]] = value


BAD = [
    (["format"], "week-plan/1", 'format: expected "week-problem/1", found "week-plan/1"'),
    (["days"], [], "days: at least one day expected"),
    (["days", 1], "monday", 'days[1]: expected a date such as 2027-03-01, found "monday"'),
    (["days", 1], "2027-02-01", "days[1]: days must follow one another"),
    (["places", 2, "id"], "yard", "places[2].id: yard stands twice"),
    (["travel_minutes", 1], [0, 1], "travel_minutes[1]: 2 values for 3 places"),
    (["travel_minutes", 0, 1], -1, "travel_minutes[0][1]: expected a whole number from 0"),
    (["crews", 0, "home"], "moon", "crews[0].home: there is no place moon"),
    (["crews", 1, "id"], "ash", "crews[1].id: ash stands twice"),
    (["crews", 0, "minutes"], [1, 2], "crews[0].minutes: 2 values for 4 days"),
    (["crews", 0, "overtime", 2], 1.5, "crews[0].overtime[2]: expected a whole number, found 1.5"),
    (["machines", 0, "available"], [1], "machines[0].available: 1 values for 4 days"),
    (["jobs", 1, "id"], "A", "jobs[1].id: A stands twice"),
    (["jobs", 0, "place"], 7, "jobs[0].place: expected a text, found 7"),
    (["jobs", 0, "steps"], [], "jobs[0].steps: at least one step expected"),
    (["jobs", 0, "steps", 0, "risk"], [0] * 9, "jobs[0].steps[0].risk: 9 values for 4 days"),
    (["jobs", 0, "steps", 0, "risk", 3], 1.2, "jobs[0].steps[0].risk[3]: expected a number from 0"),
    (["jobs", 0, "steps", 0, "minutes"], {"elm": 3}, "jobs[0].steps[0].minutes.elm: there is no"),
    (["jobs", 0, "steps", 0, "minutes", "ash"], 0, "jobs[0].steps[0].minutes.ash: expected a"),
    (["jobs", 0, "steps", 1, "machine"], "crane", "jobs[0].steps[1].machine: there is no machine"),
    (["jobs", 2, "steps", 0, "id"], "A/1", "jobs[2].steps[0].id: A/1 stands twice"),
    (["jobs", 0, "late_cost"], True, "jobs[0].late_cost: expected a whole number, found true"),
    (["max_stops"], 0, "max_stops: expected a whole number from 1"),
    (["fixed"], {}, "fixed: expected a list"),
    (["fixed"], [{"step": "Z", "crew": "ash", "day": 0}], "fixed[0].step: there is no step Z"),
    (["fixed"], [{"step": "A/1", "crew": "ash", "day": 4}], "fixed[0].day: expected a whole"),
    (
        ["posted"],
        [{"step": "A/1", "crew": "ash", "day": 0}] * 2,
        "posted[1].step: A/1 stands twice",
    ),
    (["costs", "handoff"], "free", 'costs.handoff: expected a whole number, found "free"'),
]


@pytest.mark.parametrize(("path", "value", "message"), BAD, ids=[entry[2][:30] for entry in BAD])
def test_a_bad_field_is_named_by_its_path(path: list[str | int], value: Any, message: str) -> None:
    data = copy.deepcopy(week_data())
    put(data, path, value)
    with pytest.raises(ProblemError) as caught:
        parse_problem(data)
    assert str(caught.value).startswith(message)


@pytest.mark.parametrize("key", sorted(week_data()))
def test_a_missing_field_is_named(key: str) -> None:
    data = week_data()
    del data[key]
    with pytest.raises(ProblemError, match=rf"^{key}: missing$"):
        parse_problem(data)


@pytest.mark.parametrize("text", ["", "{", "[1,", "\xff", "[" * 100_000, "NaN", "3"])
def test_what_is_no_json_object_is_refused(text: str) -> None:
    with pytest.raises(ProblemError, match=r"^file: "):
        read_problem(text.encode("latin-1"))


def test_a_chance_that_is_not_a_number_is_refused() -> None:
    text = json.dumps(week_data()).replace("0.25", "NaN")
    with pytest.raises(ProblemError, match=r"^jobs\[0\]\.steps\[1\]\.risk\[1\]: expected"):
        read_problem(text)
