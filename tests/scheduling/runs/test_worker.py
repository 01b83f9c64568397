"""The local worker with real processes: a killed solver, stop, cancel, three deaths."""

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from scheduling.planning.check import judge
from scheduling.planning.plan import parse_plan
from scheduling.planning.problem import parse_problem
from tests.scheduling.runs.site import Site, child_of, kill

pytestmark = [
    pytest.mark.sqlite_only,
    pytest.mark.skipif(not sys.platform.startswith("linux"), reason="reads /proc"),
]
LONG = 60


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory, migrated: Path) -> Site:
    """A site that is filled once; each test works on a copy."""
    site = Site(tmp_path_factory.mktemp("site"))
    site.fill(migrated)
    return site


@pytest.fixture
def make_site(template: Site, tmp_path: Path) -> Callable[[int], Site]:
    return lambda seconds: template.copy(tmp_path, seconds)


@pytest.fixture
def start_worker() -> Iterator[Callable[[Site], Any]]:
    """Start workers that drain, and see to it that nothing of them is left."""
    started = []

    def start(site: Site) -> Any:
        started.append(site.manage("work_runs", "--drain"))
        return started[-1]

    yield start
    for process in started:
        if process.poll() is None:
            child = child_of(process.pid)
            process.kill()
            if child is not None:
                kill(child)
        process.wait()


def solver_pid(site: Site, process: Any) -> int:
    """The solving process, once it has shown progress."""
    site.wait(lambda run: run["progress"])
    found = child_of(process.pid)
    assert found is not None
    return found


def assert_clean(run: dict[str, Any]) -> None:
    plan = parse_plan(run["outcome"]["plan"])
    assert judge(parse_problem(run["problem"]), plan).violations == ()
    assert plan.visits


def test_a_run_is_worked_off_and_the_worker_leaves(make_site: Any, start_worker: Any) -> None:
    site = make_site(1)
    assert start_worker(site).wait(LONG) == 0
    run = site.run()
    assert (run["state"], run["attempt"], run["error"]) == ("finished", 1, "")
    assert_clean(run)
    assert run["progress"][-1]["cost"] == run["outcome"]["cost"]


def test_a_killed_solver_is_followed_by_a_second_attempt(make_site: Any, start_worker: Any) -> None:
    site = make_site(3)
    process = start_worker(site)
    kill(solver_pid(site, process))
    best = site.run()["progress"][-1]["cost"]
    # The worker saw the death: the second attempt begins before the lease has run out.
    site.wait(lambda run: run["attempt"] == 2, seconds=site.lease_seconds + 10)
    assert process.wait(LONG) == 0
    run = site.run()
    assert (run["state"], run["attempt"]) == ("finished", 2)
    assert_clean(run)
    # It started from the best plan that the row held, so it is no worse.
    assert run["outcome"]["cost"] <= best


def test_worker_and_solver_killed_the_next_worker_takes_over(
    make_site: Any, start_worker: Any
) -> None:
    site = make_site(3)
    first = start_worker(site)
    child = solver_pid(site, first)
    first.kill()
    kill(child)
    assert site.run()["state"] == "running"
    site.tell("UPDATE scheduling_planningrun SET lease_until = '2020-01-01 00:00:00'")
    assert start_worker(site).wait(LONG) == 0
    run = site.run()
    assert (run["state"], run["attempt"]) == ("finished", 2)
    assert_clean(run)


def test_stop_keeps_the_best_plan(make_site: Any, start_worker: Any) -> None:
    site = make_site(120)
    process = start_worker(site)
    solver_pid(site, process)
    site.tell("UPDATE scheduling_planningrun SET wish = 'stop'")
    site.wait(lambda run: run["state"] not in ("asked_for", "running"))
    assert process.wait(LONG) == 0
    run = site.run()
    assert run["state"] in ("stopped", "finished")
    assert_clean(run)


def test_cancel_keeps_nothing(make_site: Any, start_worker: Any) -> None:
    site = make_site(120)
    process = start_worker(site)
    solver_pid(site, process)
    site.tell("UPDATE scheduling_planningrun SET wish = 'cancel'")
    site.wait(lambda run: run["state"] == "cancelled")
    assert process.wait(LONG) == 0
    run = site.run()
    assert (run["outcome"], run["best_plan"], run["progress"]) == (None, None, [])


def test_a_solver_that_always_dies_fails_after_three_attempts(
    make_site: Any, start_worker: Any
) -> None:
    site = make_site(1)
    site.tell("UPDATE scheduling_planningrun SET problem = '{}'")
    assert start_worker(site).wait(LONG) == 0
    run = site.run()
    assert (run["state"], run["attempt"]) == ("failed", 3)
    assert run["error"].startswith("The planner stopped 3 times")
    assert "ProblemError" in run["error"]


def test_two_workers_do_the_work_once(make_site: Any, start_worker: Any) -> None:
    site = make_site(1)
    assert [process.wait(LONG) for process in (start_worker(site), start_worker(site))] == [0, 0]
    run = site.run()
    assert (run["state"], run["attempt"]) == ("finished", 1)


def test_the_doorbell_starts_a_worker_that_outlives_who_rang(make_site: Any) -> None:
    site = make_site(1)
    site.python("import django; django.setup(); from scheduling.runs.bell import ring; ring(1)")
    run = site.wait(lambda run: run if run["state"] == "finished" else None)
    assert_clean(run)
