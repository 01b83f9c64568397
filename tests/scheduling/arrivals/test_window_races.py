"""Many who tell one house at the same moment: one mail, and a row for each true telling."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import pytest
from django.db import IntegrityError, OperationalError, connection

from contractor.models import Event, OutboxMail
from scheduling.arrivals.services import window_tell, windows_write
from scheduling.models import WindowTold
from tests.people import ACTOR, Company
from tests.scheduling.arrivals.arrivals import (
    MONDAY_LATE,
    TUESDAY,
    TUESDAY_EARLY,
    comes,
    hours,
    old_house,
)

PEOPLE = 8
pytestmark = [pytest.mark.services, pytest.mark.django_db(transaction=True)]


def all_at_once(calls: list[Callable[[], object]]) -> list[object]:
    """Run the calls in threads of their own; being overtaken is a result."""

    def attempt(call: Callable[[], object]) -> object:
        try:
            return call()
        except (IntegrityError, OperationalError) as overtaken:
            return overtaken
        finally:
            connection.close()

    with ThreadPoolExecutor(len(calls)) as pool:
        return list(pool.map(attempt, calls))


def test_rounds_of_many_processes_tell_a_house_once(company: Company) -> None:
    comes(company, old_house(company))
    all_at_once([partial(windows_write, now=MONDAY_LATE)] * PEOPLE)
    assert (OutboxMail.objects.count(), WindowTold.objects.count()) == (1, 1)
    assert Event.objects.filter(verb="told").count() == 1


def test_people_who_press_at_once_tell_one_window_once_and_two_in_turn(company: Company) -> None:
    house = old_house(company)
    comes(company, house)
    tell = partial(window_tell, job_id=house.pk, day=TUESDAY, actor=ACTOR, now=TUESDAY_EARLY)
    one, two = hours("11:00", "12:30"), hours("12:00", "14:00")
    all_at_once([partial(tell, window=one)] * PEOPLE)
    assert WindowTold.objects.count() == OutboxMail.objects.count() == 1
    all_at_once([partial(tell, window=two)] * PEOPLE)
    assert [row.number for row in WindowTold.objects.order_by("pk")] == [1, 2]
