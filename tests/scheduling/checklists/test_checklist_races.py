"""Many who answer one thing, or type codes, at the same moment: each hears what is true."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from functools import partial

import pytest
from django.db import connection

from contractor.models import Event
from jobs.checklists.services.answers import ChecklistAnswer, checklist_answer
from jobs.checklists.services.code import code_try
from jobs.desk.services import Stale
from jobs.models import ChecklistLink, CodeTry
from tests.jobs.estimates.built import built
from tests.people import NOW, Company
from tests.scheduling.crew_days.phones import secret_of

PEOPLE = 8
pytestmark = [pytest.mark.services, pytest.mark.django_db(transaction=True)]


def all_at_once(calls: list[Callable[[], object]]) -> list[object]:
    """Run the calls in threads of their own; being overtaken is a result."""

    def attempt(call: Callable[[], object]) -> object:
        try:
            return call()
        except Stale as stale:
            return stale
        finally:
            connection.close()

    with ThreadPoolExecutor(len(calls)) as pool:
        return list(pool.map(attempt, calls))


def test_of_many_promises_made_at_once_one_stands_and_the_others_are_told_it(
    company: Company,
) -> None:
    job = built(company)
    secret_of(job)
    link, condition = ChecklistLink.objects.get(), job.conditions.get(code="chases_capped")
    answers = [
        ChecklistAnswer(condition.pk, condition.version, "on", day=date(2027, 3, 1 + number))
        for number in range(PEOPLE)
    ]
    take = partial(checklist_answer, link=link, name="Rosa Reyes", now=NOW)
    results = all_at_once([partial(take, answers=[answer]) for answer in answers])
    overtaken = [result for result in results if isinstance(result, Stale)]
    assert len(overtaken) == PEOPLE - 1
    condition.refresh_from_db()
    assert condition.version == answers[0].version + 1
    assert {stale.present.promised_for for stale in overtaken} == {condition.promised_for}
    assert Event.objects.filter(noun="condition", verb="moved").count() == 1


def test_who_says_done_at_once_with_others_is_told_the_truth(company: Company) -> None:
    job = built(company)
    secret_of(job)
    link, condition = ChecklistLink.objects.get(), job.conditions.get(code="chases_capped")
    answer = ChecklistAnswer(condition.pk, condition.version, "done")
    take = partial(checklist_answer, link=link, answers=[answer], name="Rosa Reyes", now=NOW)
    results = all_at_once([take] * PEOPLE)
    for result in results:  # it is taken, or was done already, or both saw the page at once
        truth = result.present if isinstance(result, Stale) else result[0]  # type: ignore[index]
        assert truth.state == "reported_done"
    assert Event.objects.filter(noun="condition", verb="moved").count() == 1


def test_tries_at_once_pass_the_limit_by_no_more_than_their_number() -> None:
    tries: list[Callable[[], object]] = [partial(code_try, address="192.0.2.7", now=NOW)] * PEOPLE
    for _ in range(4):
        all_at_once(tries)
    assert 10 <= CodeTry.objects.count() < 10 + PEOPLE
