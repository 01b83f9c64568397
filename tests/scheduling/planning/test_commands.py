"""The command line: exit statuses, JSON on standard output, complaints on standard error."""

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
from tests.scheduling.planning.weeks import clean_plan, visit, week

ROOT = Path(__file__).parents[3]


def write(folder: Path, name: str, data: Any) -> str:
    path = folder / name
    path.write_text(json.dumps(data))
    return str(path)


@pytest.fixture
def problem_file(tmp_path: Path) -> str:
    return write(tmp_path, "problem.json", problem_to_json(week()))


def test_check_of_a_clean_plan_ends_with_0(
    tmp_path: Path, problem_file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = write(tmp_path, "plan.json", plan_to_json(clean_plan()))
    assert main(["check", problem_file, plan]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["violations"], found["total"]) == ([], 39400)


def test_check_of_a_broken_plan_ends_with_1(
    tmp_path: Path, problem_file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    broken = Plan((visit("birch", 1, A={"1": 120}),))
    assert main(["check", problem_file, write(tmp_path, "p.json", plan_to_json(broken))]) == 1
    found = json.loads(capsys.readouterr().out)["violations"]
    assert [entry["rule"] for entry in found] == [1, 2]


def test_a_bad_file_ends_with_2_and_is_named(
    tmp_path: Path, problem_file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    data = problem_to_json(week())
    data["jobs"][1]["steps"][0]["risk"] = [0.5]
    bad = write(tmp_path, "bad.json", data)
    plan = write(tmp_path, "plan.json", plan_to_json(clean_plan()))
    assert main(["check", bad, plan]) == 2
    assert capsys.readouterr().err == "jobs[1].steps[0].risk: 1 values for 4 days\n"
    assert main(["check", problem_file, str(tmp_path / "none.json")]) == 2
    assert "none.json: No such file" in capsys.readouterr().err


def test_the_judge_loads_no_solver() -> None:
    """Web processes import these modules; OR-Tools would cost them a second and 80 MB."""
    code = (
        "import sys, scheduling.planning.check, scheduling.planning.standing, "
        "scheduling.planning.commands\n"
        "print(sorted({'ortools', 'highspy', 'scipy', 'numpy', 'django'} & set(sys.modules)))"
    )
    run = [sys.executable, "-c", code]
    found = subprocess.run(run, cwd=ROOT, capture_output=True, text=True, check=True)
    assert found.stdout == "[]\n"
