"""The same work through Celery, Redis and PostgreSQL, with real processes that may be killed."""

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
import redis
from django.conf import settings as site_settings
from django.db import connection
from django.utils import timezone

from contractor.celery import app
from contractor.events import Actor
from scheduling import tasks
from scheduling.models import PlanningRun
from scheduling.planning.check import judge
from scheduling.planning.plan import parse_plan
from scheduling.planning.problem import parse_problem
from scheduling.runs.bell import database_url, runs_ring_again
from scheduling.runs.services.runs import run_ask, run_stop
from tests.people import ACTOR, NOW, TODAY, Company
from tests.scheduling.houses import WEEK, house_make
from tests.scheduling.runs.site import BASE, child_of, kill

State = PlanningRun.State
MOST_SECONDS = 180  # a state is waited for; a busy machine is given time
services = [pytest.mark.services, pytest.mark.django_db(transaction=True)]


def test_solving_has_a_queue_of_its_own() -> None:
    routes = app.conf.task_routes
    assert routes == {tasks.run_execute.name: {"queue": "solve"}}
    assert app.conf.task_default_queue == "default"
    assert app.conf.beat_schedule["sweep planning runs"]["task"] == tasks.runs_sweep.name
    lapse = app.conf.beat_schedule["let appointments lapse"]
    assert lapse["task"] == tasks.conditions_lapse.name


def test_beat_lets_appointments_lapse_as_the_command_does() -> None:
    with patch.object(tasks, "conditions_expire") as expire:
        tasks.conditions_lapse()
    assert expire.call_args.kwargs["actor"].who == Actor.of_command("expire_conditions").who


def test_a_killed_pool_process_gives_its_message_back() -> None:
    assert (app.conf.task_acks_late, app.conf.task_reject_on_worker_lost) == (True, True)
    assert app.conf.worker_prefetch_multiplier == 1
    assert app.conf.task_ignore_result
    # Longer than twice the longest solve, or a message would be delivered again in mid-solve.
    timeout = app.conf.broker_transport_options["visibility_timeout"]
    assert timeout > 2 * 600


@pytest.fixture
def broker(settings: Any, worker_id: str) -> str:
    """A Redis database of this test process alone, emptied."""
    number = 8 + int(worker_id.removeprefix("gw") or 0) % 8 if worker_id != "master" else 15
    url = f"{site_settings.REDIS_URL.rpartition('/')[0]}/{number}"
    settings.REDIS_URL = url
    redis.Redis.from_url(url).flushdb()
    return url


@pytest.fixture
def worker(broker: str, tmp_path: Path) -> Iterator["subprocess.Popen[bytes]"]:
    """A Celery worker of the solve queue on the test's own database and broker."""
    environment = {
        **os.environ,
        "DATABASE_URL": database_url(connection.settings_dict),
        "REDIS_URL": broker,
        "DATA_DIR": str(tmp_path),
        "SOLVER_WORKERS": "1",
        "RUN_LEASE_SECONDS": "4",
    }
    command = ["-m", "celery", "-A", "contractor.celery", "worker", "-Q", "solve", "-c", "1"]
    log = tmp_path / "celery.log"
    with log.open("wb") as out:
        process = subprocess.Popen(
            [sys.executable, *command, "--without-gossip", "--without-mingle"],
            cwd=BASE,
            env=environment,
            stdout=out,
            stderr=out,
        )
    yield process
    process.terminate()
    try:
        process.wait(30)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


def ask(company: Company, seconds: int, houses: int = 12) -> PlanningRun:
    for number in range(houses):
        work = {"air_seal": 60 + 7 * number, "batt": 90, "flat_blow": 80 + 11 * number}
        house_make(company, f"Lot {number}", work, site=f"Site {number % 4}", batt=1)
    return run_ask(
        actor=ACTOR,
        branch=company.fairfield,
        first=WEEK,
        weeks=2,
        seconds=seconds,
        now=NOW,
        today=TODAY,
    )


def wait(run: PlanningRun, what: Callable[[PlanningRun], Any]) -> Any:
    end = time.monotonic() + MOST_SECONDS
    while time.monotonic() < end:
        run.refresh_from_db()
        found = what(run)
        if found:
            return found
        time.sleep(0.1)
    raise AssertionError(f"waited {MOST_SECONDS} s; the run is {run.state}: {run.error}")


def ended(run: PlanningRun) -> bool:
    return run.state not in PlanningRun.UNDER_WAY


def assert_clean(run: PlanningRun) -> None:
    assert run.outcome is not None
    assert judge(parse_problem(run.problem), parse_plan(run.outcome["plan"])).clean


def solver_pid(celery: "subprocess.Popen[bytes]") -> int:
    """The solver is the child of the pool process, which is the child of the worker."""
    pool = child_of(celery.pid)
    assert pool is not None
    found = child_of(pool)
    assert found is not None
    return found


class TestThroughRedis:
    """Needs PostgreSQL and Redis."""

    pytestmark = services

    def test_a_run_is_worked_off(self, company: Company, worker: Any) -> None:
        run = ask(company, seconds=1)
        wait(run, ended)
        assert (run.state, run.attempt) == (State.FINISHED, 1)
        assert_clean(run)

    def test_a_killed_solver_is_followed_by_a_second_attempt(
        self, company: Company, worker: Any
    ) -> None:
        run = ask(company, seconds=4)
        wait(run, lambda run: run.progress)
        kill(solver_pid(worker))
        wait(run, ended)
        assert (run.state, run.attempt) == (State.FINISHED, 2)
        assert_clean(run)

    def test_stop_keeps_the_best(self, company: Company, worker: Any) -> None:
        run = ask(company, seconds=120, houses=40)
        wait(run, lambda run: run.progress)
        run_stop(actor=ACTOR, run=run, now=timezone.now())
        wait(run, ended)
        assert run.is_proposal
        assert_clean(run)

    def test_a_lost_ring_is_made_good_by_the_sweep(
        self, company: Company, broker: str, worker: Any, settings: Any
    ) -> None:
        settings.REDIS_URL = "redis://127.0.0.1:1/0"
        run = ask(company, seconds=1)
        settings.REDIS_URL = broker
        assert run.state == State.ASKED_FOR
        runs_ring_again(now=NOW + timedelta(seconds=10))
        wait(run, ended)
        assert run.state == State.FINISHED
