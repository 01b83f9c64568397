"""Many who change one week at once: one gets through, the others are told, nothing is lost."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import pytest
from django.db import connection

from scheduling.models import CrewDay, PlanningRun, Stop, Week, WeekVersion
from scheduling.runs.services.runs import run_accept, run_ask
from scheduling.weeks.services.moves import stop_move
from scheduling.weeks.services.refusals import PlanRefused, WeekChanged
from tests.people import ACTOR, NOW, TODAY, Company
from tests.scheduling.houses import WEEK, day, house_make, version_make, visit_make
from tests.scheduling.runs.test_run_services import ask, at, finish

EDITORS = 8
pytestmark = [pytest.mark.services, pytest.mark.django_db(transaction=True)]


def all_at_once(calls: list[Callable[[], object]]) -> list[object]:
    """Run the calls in threads of their own; a refusal is a result, any other error is raised."""

    def attempt(call: Callable[[], object]) -> object:
        try:
            return call()
        except PlanRefused as refused:
            return refused
        finally:
            connection.close()

    with ThreadPoolExecutor(len(calls)) as pool:
        return list(pool.map(attempt, calls))


def refusals(results: list[object]) -> list[object]:
    return [result for result in results if isinstance(result, PlanRefused)]


def test_of_many_proposals_accepted_at_once_one_is_drafted(company: Company) -> None:
    job = house_make(company, "Lot 1", {"flat_blow": 100})
    runs = [finish(ask(company), at(company, job, number % 5)) for number in range(EDITORS)]
    accept = partial(run_accept, actor=ACTOR, now=NOW, today=TODAY)
    results = all_at_once([partial(accept, run=run) for run in runs])
    assert len(refusals(results)) == EDITORS - 1
    assert Week.objects.get().revision == 1
    assert CrewDay.objects.count() == 1
    assert PlanningRun.objects.filter(verdict="accepted").count() == 1


def test_of_many_moves_from_one_revision_one_is_made(company: Company) -> None:
    job = house_make(company, "Lot 1", {"flat_blow": 100})
    posted = version_make(company, WeekVersion.State.POSTED)
    stop = visit_make(posted, company.north, day(0), job, {"flat_blow": 100})

    def move(number: int) -> object:
        return stop_move(
            actor=ACTOR,
            branch=company.fairfield,
            stop_id=stop.pk,
            crew=company.south,
            day=day(1 + number % 4),
            expected={"2027-W09": 0},
            now=NOW,
            today=TODAY,
        )

    results = all_at_once([partial(move, number) for number in range(EDITORS)])
    refused = refusals(results)
    assert len(refused) == EDITORS - 1
    assert all(isinstance(result, WeekChanged) for result in refused)
    assert Week.objects.get().revision == 1
    assert Stop.objects.filter(crew_day__version__state="draft").count() == 1


def test_many_clicks_at_once_are_one_run(company: Company) -> None:
    house_make(company, "Lot 1", {"flat_blow": 100})

    def click() -> object:
        return run_ask(
            actor=ACTOR,
            branch=company.fairfield,
            first=WEEK,
            weeks=1,
            seconds=5,
            now=NOW,
            today=TODAY,
            ring=False,
        ).pk

    assert len(set(all_at_once([click] * EDITORS))) == 1
    assert PlanningRun.objects.count() == 1
