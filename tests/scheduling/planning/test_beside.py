"""Work on the second core: plans come back, answers are the same, and its death is survived."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable

import pytest

from scheduling.planning.beside import Beside, Partner
from scheduling.planning.plan import Plan
from scheduling.planning.solver import solve
from scheduling.planning.trials.families import invented_week
from tests.scheduling.planning.weeks import clean_plan


def wait_for(beside: Beside, count: int) -> list[Plan]:
    found: list[Plan] = []
    for _ in range(500):
        found += beside.plans()
        if len(found) >= count or not beside.running:
            break
        time.sleep(0.01)
    return found


def test_plans_come_back_in_order_and_whole() -> None:
    sent = [clean_plan(), Plan(), clean_plan()]

    def work(send: Callable[[Plan], None]) -> None:
        for plan in sent:
            send(plan)

    beside = Beside(work)
    assert wait_for(beside, 3) == sent
    beside.stop()
    assert not beside.running


def test_a_process_that_is_stopped_is_gone() -> None:
    beside = Beside(lambda send: time.sleep(60))
    beside.stop()
    with pytest.raises(ProcessLookupError):
        os.kill(beside.pid, 0)


def test_work_that_fails_ends_only_its_own_process() -> None:
    def work(send: Callable[[Plan], None]) -> None:
        raise ValueError("of no consequence")

    beside = Beside(work)
    assert wait_for(beside, 1) == []
    assert not beside.running


def test_a_partner_answers_by_what_it_held() -> None:
    held = {"north": 18}
    partner = Partner(lambda place: held[place] * 2)
    held["north"] = 1
    partner.ask("north")
    assert partner.answer() == 36
    partner.stop()


def test_a_partner_that_dies_is_found_out() -> None:
    partner = Partner(lambda question: question)
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
