"""Files from hostile or hasty hands: the bad place is named, or all of it is read."""

from __future__ import annotations

import copy
import json
import random
import re
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from scheduling.planning.check import judge
from scheduling.planning.commands import main
from scheduling.planning.plan import PlanError, plan_to_json, read_plan
from scheduling.planning.problem import ProblemError, parse_problem, problem_to_json, read_problem
from scheduling.planning.reading import FormatError
from scheduling.planning.solver import solve
from tests.scheduling.planning.random_weeks import random_week
from tests.scheduling.planning.weeks import clean_plan, week, week_data

ODD: list[Any] = [
    *(None, True, False, 0, -1, 1, 1.5, 1e308, float("nan"), float("inf"), float("-inf")),
    *(10**9, 10**9 + 1, 10**30, -(10**40), "", "x", "ash", "A/1", "a\nb", "\ud800", "é" * 99),
    *("2027-03-01", "2027-02-30", [], {}, [[]], {"a": 1}, [None], [1] * 99, {"": 1}),
]
# A path such as jobs[3].steps[0].risk, or the file itself, and then what is wrong with it.
MESSAGE = re.compile(r'^(file|("[^"]*"|[\w./ -]+|\.|\[\d+\])+): \S.*$')


def problem_data() -> dict[str, Any]:
    fixed = [{"step": "B/1", "crew": "ash", "day": 0}]
    posted = [{"step": "A/1", "crew": "ash", "day": 1}]
    return problem_to_json(week(fixed=fixed, posted=posted))


def paths(data: Any, above: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Yield the path of every value inside some data."""
    entries = data.items() if isinstance(data, dict) else enumerate(data)
    for key, value in entries:
        yield (*above, key)
        if isinstance(value, dict | list):
            yield from paths(value, (*above, key))


def at(data: Any, path: tuple[Any, ...]) -> Any:
    for key in path:
        data = data[key]
    return data


def spoil(draw: random.Random, data: Any) -> None:
    """Replace, drop, repeat or swap one value somewhere inside."""
    path = draw.choice(list(paths(data)))
    inside, key = at(data, path[:-1]), path[-1]
    way = draw.choice(["replace", "drop", "repeat", "swap", "scale"])
    if way == "drop":
        del inside[key]
    elif way == "repeat" and isinstance(inside, list):
        inside.append(copy.deepcopy(inside[key]))
    elif way == "swap":
        inside[key] = copy.deepcopy(at(data, draw.choice(list(paths(data)))))
    elif way == "scale" and isinstance(inside[key], int):
        inside[key] = draw.choice([-inside[key], inside[key] * 10**7, inside[key] + 0.5])
    else:
        inside[key] = copy.deepcopy(draw.choice(ODD))


def complaint(read: Callable[[str], Any], text: str) -> FormatError | None:
    """Return what a reader says of a text, None where it reads it."""
    try:
        read(text)
    except FormatError as error:
        return error
    return None


@pytest.mark.parametrize(
    ("make", "read", "error"),
    [
        (problem_data, read_problem, ProblemError),
        (lambda: plan_to_json(clean_plan()), read_plan, PlanError),
    ],
    ids=["problem", "plan"],
)
def test_whatever_is_spoilt_is_named_or_read(
    make: Callable[[], dict[str, Any]], read: Callable[[str], Any], error: type[FormatError]
) -> None:
    draw, ends = random.Random(7), Counter[str]()
    for _ in range(1500):
        data = make()
        for _ in range(draw.choice([1, 1, 1, 3])):
            if list(paths(data)):
                spoil(draw, data)
        text = json.dumps(data)
        found = complaint(read, text)
        ends["read" if found is None else "named"] += 1
        if found is not None:
            assert type(found) is error
            assert MESSAGE.match(str(found)), str(found)
            assert len(str(found)) < 200
        elif error is ProblemError:
            problem = read_problem(text)
            assert parse_problem(problem_to_json(problem)) == problem
            judge(problem, clean_plan())
        else:
            judge(week(), read_plan(text))
    assert min(ends.values()) > 50


TEXTS = {
    "nothing": ("", "file: not JSON: "),
    "half a file": ('{"format": "week-prob', "file: not JSON: "),
    "another encoding": ("\xff\xfe\xff", "file: not JSON: "),
    "deep nesting": ("[" * 100_000 + "]" * 100_000, "file: nested too deeply"),
    "deep nesting of objects": ('{"a":' * 100_000, "file: nested too deeply"),
    "one key twice": ('{"format": "week-problem/1", "format": 1}', "file: format stands twice in"),
    "a list": ("[]", "file: expected an object, found []"),
    "a number": ("NaN", "file: expected an object, found NaN"),
    "another file": ('{"format": "week-plan/1"}', 'format: expected "week-problem/1", found'),
}


@pytest.mark.parametrize("name", TEXTS)
@pytest.mark.parametrize("command", ["solve", "check", "explain", "changes"])
def test_every_command_ends_with_2_and_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], command: str, name: str
) -> None:
    text, message = TEXTS[name]
    bad, plan = tmp_path / "bad.json", tmp_path / "plan.json"
    bad.write_bytes(text.encode("latin-1"))
    plan.write_text(json.dumps(plan_to_json(clean_plan())))
    more = {"solve": [], "explain": [str(plan), "A"]}.get(command, [str(plan)])
    assert main([command, str(bad), *more]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith(message)
    assert printed.err.count("\n") == 1


def test_a_bad_plan_ends_with_2_as_well(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    problem, plan = tmp_path / "problem.json", tmp_path / "plan.json"
    problem.write_text(json.dumps(problem_data()))
    plan.write_text('{"format": "week-outcome/1", "plan": null}')
    assert main(["check", str(problem), str(plan)]) == 2
    assert capsys.readouterr().err == "file: expected an object, found null\n"
    assert main(["solve", str(problem), "--start", str(plan)]) == 2
    assert main(["check", str(tmp_path), str(plan)]) == 2, "a folder"


NUMBERS = [
    ("9" * 5000, "expected a whole number, found Infinity"),
    ("1" + "0" * 25, "expected a whole number from 0 to 10000, found 10000000000000000000000000"),
    ("1e999", "expected a whole number, found Infinity"),
    ("-0.0", "expected a whole number, found -0.0"),
    ("NaN", "expected a whole number, found NaN"),
    ("10001", "expected a whole number from 0 to 10000, found 10001"),
]


@pytest.mark.parametrize(("number", "message"), NUMBERS, ids=[n[:6] for n, _ in NUMBERS])
def test_a_number_out_of_bounds_is_named(number: str, message: str) -> None:
    text = json.dumps(week_data()).replace('"setup_minutes": 20', f'"setup_minutes": {number}', 1)
    with pytest.raises(ProblemError, match=f"^{re.escape(f'jobs[0].setup_minutes: {message}')}$"):
        read_problem(text)


def test_names_are_quoted_so_that_a_message_stays_one_short_line() -> None:
    data = week_data()
    data["jobs"][0]["steps"][0]["minutes"] = {"a\nb" * 40: 3}
    with pytest.raises(ProblemError) as caught:
        parse_problem(data)
    path, _, words = str(caught.value).partition(": ")
    assert path.startswith('jobs[0].steps[0].minutes."a\\nba\\nb')
    assert words.startswith('there is no crew "a\\nb')
    assert len(str(caught.value)) < 130


def largest(draw: random.Random, data: dict[str, Any]) -> None:
    """Set some of the figures to the largest that the reader lets through."""
    rates = [data["costs"], *data["jobs"], *(s for job in data["jobs"] for s in job["steps"])]
    for place in rates:
        for key in sorted(set(place) - {"minutes", "lag_days", "setup_minutes", "promised_day"}):
            if isinstance(place[key], int) and draw.random() < 0.3:
                place[key] = 10**9
    for job in data["jobs"]:
        job["promised_day"] = draw.choice([job["promised_day"], -10_000, 10_000])
        job["steps"][-1]["lag_days"] = draw.choice([0, 10_000])
        for crew in job["steps"][0]["minutes"]:
            job["steps"][0]["minutes"][crew] = draw.choice([1, 60, 1_000_000])
    data["travel_minutes"][0][1] = draw.choice([5, 100_000])
    data["min_part_minutes"] = draw.choice([40, 10**9])
    data["max_stops"] = draw.choice([3, 10**9])
    data["crews"][0]["overtime"] = [draw.choice([0, 10_000]) for _ in data["days"]]


@pytest.mark.parametrize("seed", range(8))
def test_the_largest_figures_are_planned_and_priced_exactly(seed: int) -> None:
    data = problem_to_json(random_week(seed))
    largest(random.Random(seed), data)
    problem = parse_problem(data | {"fixed": []})
    outcome = solve(problem, seconds=20, work=60)
    assert outcome.plan is not None
    found = judge(problem, outcome.plan)
    assert found.clean
    assert outcome.bound <= found.total == outcome.cost
