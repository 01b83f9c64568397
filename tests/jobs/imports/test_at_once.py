"""The same sheet imported by several people at the same moment, each with a connection."""

from threading import Barrier, Thread
from time import sleep

import pytest
from django.db import OperationalError, connections

from contractor.access import Scope
from contractor.models import Event
from jobs.imports.services import import_apply
from jobs.models import Builder, Job, Site, Space
from tests.jobs.imports.test_import import BOTH
from tests.jobs.sheets.samples import csv_of
from tests.people import ACTOR, NOW, company_make

AT_ONCE = 5


@pytest.mark.django_db(transaction=True)
def test_of_five_at_once_one_imports_and_four_find_it_there() -> None:
    company_make()
    content = csv_of(*BOTH)
    together = Barrier(AT_ONCE)
    found: list[tuple[int, int]] = []

    def attempt() -> tuple[int, int]:
        while True:
            try:
                plan = import_apply(
                    content=content, scope=Scope(all_branches=True), actor=ACTOR, now=NOW
                )
            except OperationalError:
                sleep(0.01)  # SQLite's shared memory locks out at once, where a file would wait
            else:
                return len(plan.new), len(plan.unchanged)

    def one() -> None:
        together.wait()
        found.append(attempt())
        connections.close_all()

    threads = [Thread(target=one) for _ in range(AT_ONCE)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(found) == [(0, 1)] * (AT_ONCE - 1) + [(1, 0)]
    counts = [model.objects.count() for model in (Builder, Site, Job, Space)]
    assert counts == [1, 1, 1, 2]
    assert Event.objects.filter(verb="created").count() == 6
