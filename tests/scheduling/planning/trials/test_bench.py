"""The table of the benchmark: one line for each problem, failures too."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from scheduling.planning.commands import main
from scheduling.planning.plan import Plan, plan_to_json
from scheduling.planning.problem import problem_to_json
from scheduling.planning.reading import FormatError
from scheduling.planning.trials.bench import (
    TARGETS,
    RunError,
    Source,
    first_excess,
    refuse_wrong,
    run_child,
    sources_of,
    target_of,
)
from scheduling.planning.trials.families import NAMES, invented_week
from scheduling.planning.trials.rule_of_thumb import plain_plan
from tests.scheduling.planning.weeks import clean_plan, visit, week, week_data


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    one_job = week(jobs=week_data()["jobs"][:1])
    (tmp_path / "a-week.json").write_text(json.dumps(problem_to_json(one_job)))
    (tmp_path / "broken.json").write_text('{"format": "week-problem/1", "days": []}')
    return tmp_path


def test_every_problem_gets_a_line_and_a_broken_file_says_why(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The optimum of job A is the MIP's too, which shares no code with the planner."""
    assert main(["bench", str(folder), "--work", "2000", "--seconds", "20"]) == 1
    _, head, solved, broken = capsys.readouterr().out.splitlines()
    row = dict(zip(head.split(" | "), solved.split(" | "), strict=True))
    assert (row["problem"], row["status"], row["gap %"]) == ("a-week", "proven", "0.00")
    assert row["cost"] == row["bound"] == row["MIP"]
    assert int(row["plain rule"]) >= int(row["cost"])
    assert 0 < float(row["first plan s"]) <= float(row["seconds"])
    assert 20 < int(row["MB"]) < 2000
    assert broken == "broken | failed: days: at least one day expected"


MEMORY = """
from scheduling.planning.trials.bench import run_child
large = run_child(["-c", "print(len(bytearray(400_000_000)))"], 30)
small = run_child(["-c", "print('done')"], 30)
print(large.log.strip(), large.megabytes, small.megabytes)
"""


def test_the_memory_is_that_of_the_process_itself() -> None:
    """Asked in a process as small as the benchmark's own: a child counts from its parent's size."""
    asked = subprocess.run([sys.executable, "-c", MEMORY], capture_output=True, check=True)
    log, large, small = asked.stdout.decode().split()
    assert log == "400000000"
    assert float(large) > 380 > float(small) > 1


def test_a_process_that_fails_is_told_by_its_status_and_last_word() -> None:
    with pytest.raises(RunError, match=r"^exit status 1 after [\d.]+ s: no memory$"):
        run_child(["-c", "import sys; print('so far so good'); sys.exit('no memory')"], 30)
    with pytest.raises(RunError, match=r"exit status -9 after .* s: no word"):
        run_child(["-c", "import time; time.sleep(60)"], 0.2)
    assert run_child(["-c", "raise SystemExit(3)"], 30, expected=(0, 3)).log == ""


@pytest.mark.parametrize(
    ("plan", "changes", "words"),
    [
        (Plan((visit("birch", 1, A={"1": 120}),)), {}, "the judge objects: rule 1: birch is off"),
        (clean_plan(), {"cost": 39401}, "said to cost 39401, costs 39400"),
        (clean_plan(), {"bound": 39401}, "the bound 39401 is above the cost 39400"),
    ],
)
def test_a_cost_or_bound_that_is_not_true_is_refused(
    plan: Plan, changes: dict[str, int], words: str
) -> None:
    outcome: dict[str, Any] = {"plan": plan_to_json(plan), "cost": 39400, "bound": 0} | changes
    with pytest.raises(RunError, match=words):
        refuse_wrong(week(), outcome)


def test_a_first_plan_is_measured_at_a_second() -> None:
    progress = [{"seconds": 0.9, "cost": 150}, {"seconds": 1.5, "cost": 125}]
    progress += [{"seconds": 4.0, "cost": 100}]
    found = [first_excess(progress, second) for second in (0.5, 1.0, 2.0, 9.0)]
    assert found == ["no plan", "50.00", "25.00", "0.00"]


def test_sources_are_a_folder_s_files_and_each_seed_of_each_family(folder: Path) -> None:
    found = sources_of(folder, ["small", "replan"], [1, 2])
    names = ["a-week", "broken", "small-1", "small-2", "replan-1", "replan-2"]
    assert [source.name for source in found] == names
    assert found[0] == Source("a-week", folder / "a-week.json")


def test_a_bench_of_nothing_says_what_is_expected(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["bench"]) == 2
    assert main(["bench", str(tmp_path / "none")]) == 2
    assert capsys.readouterr().err.splitlines() == [
        "expected a folder or --family",
        f"{tmp_path / 'none'}: expected a folder of week-problem/1 files",
    ]
    with pytest.raises(FormatError, match=r"there is no \*\.json file"):
        sources_of(tmp_path, [], [1])


@pytest.mark.parametrize("seeds", ["3-1", "-2", "1-", "one", ""])
def test_seeds_that_are_none_end_with_2(seeds: str) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["bench", "--family", "small", f"--seeds={seeds}"])
    assert caught.value.code == 2


def test_each_family_has_its_seconds_and_other_names_go_by_size() -> None:
    assert set(TARGETS) == set(NAMES)
    assert target_of("replan-7", week()) == TARGETS["replan"]
    assert target_of("branch-north", week()) == TARGETS["small"]
    large = invented_week("large", 1, plain_plan)
    assert target_of("export", large) == TARGETS["large"]
