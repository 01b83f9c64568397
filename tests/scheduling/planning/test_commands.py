"""The command line: exit statuses, JSON on standard output, complaints on standard error."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from scheduling.planning.commands import main
from scheduling.planning.plan import Plan, plan_to_json
from scheduling.planning.problem import Problem, problem_to_json
from tests.scheduling.planning.weeks import clean_plan, job_data, step_data, visit, week

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
        "import sys, scheduling.planning.check, scheduling.planning.edit.feasible, "
        "scheduling.planning.commands\n"
        "print(sorted({'ortools', 'highspy', 'scipy', 'numpy', 'django'} & set(sys.modules)))"
    )
    run = [sys.executable, "-c", code]
    found = subprocess.run(run, cwd=ROOT, capture_output=True, text=True, check=True)
    assert found.stdout == "[]\n"


def run_solve(*arguments: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "scheduling.planning", "solve", *arguments]
    return subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )


def test_solve_prints_an_outcome_that_check_accepts(tmp_path: Path, problem_file: str) -> None:
    out = str(tmp_path / "outcome.json")
    process = run_solve(problem_file, "--seconds", "20", "--work", "100", "--out", out)
    printed, progress = process.communicate(timeout=60)
    assert (process.returncode, printed) == (0, "")
    outcome = json.loads(Path(out).read_text())
    assert outcome["format"] == "week-outcome/1"
    last = json.loads(progress.splitlines()[-1])
    assert (last["cost"], last["bound"]) == (outcome["cost"], outcome["bound"])
    assert main(["check", problem_file, out]) == 0


def test_a_clash_of_locks_ends_with_3(tmp_path: Path) -> None:
    data = problem_to_json(week(fixed=[{"step": "C/1", "crew": "birch", "day": 1}]))
    process = run_solve(write(tmp_path, "p.json", data), "--seconds", "5", "--work", "50")
    printed, _ = process.communicate(timeout=60)
    assert process.returncode == 3
    outcome = json.loads(printed)
    assert (outcome["status"], outcome["plan"]) == ("infeasible", None)
    assert outcome["unplaced"][0]["step"] == "C/1"


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_ends_it_with_the_best_plan(tmp_path: Path, number: int) -> None:
    """A week that takes long to prove; the signal comes with the first progress line."""
    path = write(tmp_path, "p.json", problem_to_json(hard_week()))
    process = run_solve(path, "--seconds", "600")
    assert process.stderr is not None
    process.stderr.readline()
    process.send_signal(number)
    printed, _ = process.communicate(timeout=60)
    assert process.returncode == 0
    outcome = json.loads(printed)
    assert outcome["status"] == "stopped"
    assert outcome["seconds"] < 60


def hears(process: subprocess.Popen[str], number: int) -> bool:
    """Tell whether a process has set up a handler for a signal; see proc(5), SigCgt."""
    status = Path(f"/proc/{process.pid}/status").read_text()
    caught = int(status.partition("SigCgt:")[2].split()[0], 16)
    return bool(caught >> (number - 1) & 1)


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="asks Linux for the handlers")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_while_it_loads_ends_it_with_a_plan_as_well(tmp_path: Path, number: int) -> None:
    """Sent as soon as it can be heard, long before the solvers are loaded."""
    path, out = write(tmp_path, "p.json", problem_to_json(hard_week())), tmp_path / "out.json"
    process = run_solve(path, "--seconds", "600", "--out", str(out))
    while not hears(process, signal.SIGTERM):
        assert process.poll() is None
    process.send_signal(number)
    process.send_signal(number)
    process.communicate(timeout=60)
    assert process.returncode == 0
    assert json.loads(out.read_text())["status"] == "stopped"
    assert main(["check", path, str(out)]) == 0


def test_a_place_that_cannot_be_written_ends_with_2_before_the_solve(
    problem_file: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    nowhere = str(tmp_path / "none" / "out.json")
    assert main(["solve", problem_file, "--seconds", "600", "--out", nowhere]) == 2
    assert capsys.readouterr().err == f"{nowhere}.part: No such file or directory\n"


def hard_week() -> Problem:
    """Return a week of many jobs whose steps differ a little from one another."""
    jobs = [
        job_data(
            f"J{n}",
            ("north", "south")[n % 2],
            [
                step_data(f"J{n}/1", {"ash": 61 + 7 * n % 113, "birch": 59 + 11 * n % 101}),
                step_data(f"J{n}/2", {"ash": 90 + 13 * n % 97, "birch": 80 + 17 * n % 89}),
            ],
            promised_day=n % 4,
        )
        for n in range(40)
    ]
    return week(jobs=jobs)


@pytest.mark.parametrize(
    "options", [["--seconds", "0"], ["--workers", "none"], ["--work", "-1"], ["--colour", "red"]]
)
def test_bad_options_end_with_2(problem_file: str, options: list[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["solve", problem_file, *options])
    assert caught.value.code == 2
