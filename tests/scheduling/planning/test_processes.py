"""Work on the second core: plans come back, answers are the same, and its death is survived."""

from __future__ import annotations

import fcntl
import os
import signal
import sys
import termios
import time
from collections.abc import Callable

import pytest

from scheduling.planning.plan import Plan, Visit
from scheduling.planning.processes import AnswerWorker, PlanWorker
from scheduling.planning.solver import solve
from scheduling.planning.trials.families import invented_week
from tests.scheduling.planning.weeks import clean_plan


def wait_for(worker: PlanWorker, count: int) -> list[Plan]:
    found: list[Plan] = []
    for _ in range(500):
        found += worker.plans()
        if len(found) >= count or not worker.running:
            break
        time.sleep(0.01)
    return found


def test_plans_come_back_in_order_and_whole() -> None:
    sent = [clean_plan(), Plan(), clean_plan()]

    def work(send: Callable[[Plan], None]) -> None:
        for plan in sent:
            send(plan)

    worker = PlanWorker(work)
    assert wait_for(worker, 3) == sent
    worker.stop()
    assert not worker.running


def test_a_process_that_is_stopped_is_gone() -> None:
    worker = PlanWorker(lambda send: time.sleep(60))
    worker.stop()
    with pytest.raises(ProcessLookupError):
        os.kill(worker.pid, 0)


def test_work_that_fails_ends_only_its_own_process() -> None:
    def work(send: Callable[[Plan], None]) -> None:
        raise ValueError("of no consequence")

    worker = PlanWorker(work)
    assert wait_for(worker, 1) == []
    assert not worker.running


def test_a_partner_answers_by_what_it_held() -> None:
    held = {"north": 18}
    partner = AnswerWorker(lambda place: held[place] * 2)
    held["north"] = 1
    partner.ask("north")
    assert partner.answer() == 36
    partner.stop()


def test_a_partner_that_dies_is_found_out() -> None:
    partner = AnswerWorker(lambda question: question)
    os.kill(partner.pid, signal.SIGKILL)
    partner.ask("anything")
    with pytest.raises(EOFError):
        partner.answer()
    assert not partner.running


@pytest.mark.parametrize("seed", [1, 2])
def test_the_same_plan_with_one_worker_and_with_two_under_a_work_limit(seed: int) -> None:
    problem = invented_week("small", seed, lambda _: Plan())
    one, two, again = (
        solve(problem, seconds=120, work=900, workers=workers) for workers in (1, 2, 2)
    )
    assert one.plan == two.plan == again.plan
    assert (one.cost, one.bound) == (two.cost, two.bound) == (again.cost, again.bound)


# More than a pipe holds, so that the process dies in the middle of what it sends.
LONG = "a name of a crew " * 200_000


def test_a_worker_that_dies_within_a_plan_is_found_out() -> None:
    long = Plan((Visit(LONG, 0, ()),))
    worker = PlanWorker(lambda send: send(long))
    wait_for_writing(worker)
    os.kill(worker.pid, signal.SIGKILL)
    assert worker.plans() == []
    assert not worker.running


def test_a_worker_that_dies_within_an_answer_is_found_out() -> None:
    worker = AnswerWorker(lambda question: LONG)
    worker.ask("anything")
    wait_for_writing(worker)
    os.kill(worker.pid, signal.SIGKILL)
    with pytest.raises(EOFError):
        worker.answer()
    assert not worker.running


def test_an_interrupt_ends_a_worker_without_a_word(capfd: pytest.CaptureFixture[str]) -> None:
    def work(send: Callable[[Plan], None]) -> None:
        # A suite that a shell began in the background ignores interrupts, and so would its copies.
        signal.signal(signal.SIGINT, signal.default_int_handler)
        send(Plan())
        time.sleep(60)

    worker = PlanWorker(work)
    assert wait_for(worker, 1) == [Plan()]
    os.kill(worker.pid, signal.SIGINT)
    assert wait_for(worker, 1) == []
    assert not worker.running
    assert capfd.readouterr().err == ""


def wait_for_writing(worker: PlanWorker | AnswerWorker) -> None:
    """Wait until a part of what a worker sends is there, more than its length in front."""
    for _ in range(500):
        held = fcntl.ioctl(worker._pipe.fileno(), termios.FIONREAD, bytes(4))
        if int.from_bytes(held, sys.byteorder) > 8:
            return
        time.sleep(0.01)
    pytest.fail("the process does not write")
