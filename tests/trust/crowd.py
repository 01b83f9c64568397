"""Many people who do the same to one week at the same moment, each with a connection."""

from collections import Counter
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass
from datetime import date
from functools import partial
from threading import Barrier
from typing import Any
from unittest.mock import patch

import time_machine
from django.db import connections
from django.test import Client

from contractor.models import Crew, Event
from jobs.models import Job
from scheduling.models import PlanningRun, Stop, Week, WeekVersion
from scheduling.weeks.services.moves import stop_move
from scheduling.weeks.services.refusals import PlanRefused, WeekChanged
from tests.people import ACTOR, NOW, TODAY, Company, company_make, signed_in
from tests.scheduling.houses import WEEK, day, house_make, version_make, visit_make

EDITORS = 20
CLICKS = 50
Place = tuple[int, date]


@dataclass
class Edited:
    """What came of rounds of editors who all start from one revision."""

    rounds: int = 0
    accepted: int = 0
    refused: int = 0
    lost_updates: int = 0
    revision_gaps: int = 0


def main(what: str, rounds: str = "1") -> dict[str, Any]:
    """Let the crowd loose on a company of its own; for a child process."""
    company = company_make()
    if what == "edit":
        return asdict(weeks_edited(company, int(rounds)))
    return plans_clicked(company)


class Crowd:
    """So many people, each a thread that keeps its connection until the crowd goes home."""

    def __init__(self, people: int) -> None:
        self._together = Barrier(people)
        self._pool = ThreadPoolExecutor(people)
        self.people = people

    def __enter__(self) -> "Crowd":
        return self

    def __exit__(self, *_: object) -> None:
        self.at_once([connections.close_all] * self.people)
        self._pool.shutdown()

    def at_once(self, calls: Sequence[Callable[[], object]]) -> list[object]:
        """Start one call each at the same moment; a refusal is a result."""
        return list(self._pool.map(self._attempt, calls))

    def _attempt(self, call: Callable[[], object]) -> object:
        self._together.wait(timeout=60)
        try:
            return call()
        except PlanRefused as refused:
            return refused


def weeks_edited(company: Company, rounds: int, editors: int = EDITORS) -> Edited:
    """In each round all editors move one stop of a posted week from the revision they all saw."""
    job = house_make(company, "Lot 1", {"flat_blow": 100})
    posted = version_make(company, WeekVersion.State.POSTED)
    visit_make(posted, company.north, day(0), job, {"flat_blow": 100})
    edited = Edited(rounds=rounds)
    with Crowd(editors) as crowd:
        for _ in range(rounds):
            _round(company, job, crowd, edited)
    return edited


def _round(company: Company, job: Job, crowd: Crowd, edited: Edited) -> None:
    before = Week.objects.get()
    stop = _stop_now(job)
    free = _free_places(company, (stop.crew_day.crew_id, stop.crew_day.date))
    asked = [free[number % len(free)] for number in range(crowd.people)]
    move = partial(_move, company, stop.pk, before.revision)
    results = crowd.at_once([partial(move, crew, on) for crew, on in asked])
    winners = [place for place, got in zip(asked, results, strict=True) if not _is_told(got)]
    edited.accepted += len(winners)
    edited.refused += sum(map(_is_told, results))
    now = _stop_now(job).crew_day
    kept = (now.crew_id, now.date)
    edited.lost_updates += sum((crew.pk, on) != kept for crew, on in winners)
    edited.revision_gaps += Week.objects.get().revision != before.revision + 1
    edited.revision_gaps += Event.objects.filter(verb="stop moved").count() != edited.accepted


def _is_told(result: object) -> bool:
    """Whether somebody was told that the week is another by now."""
    return isinstance(result, WeekChanged)


def _stop_now(job: Job) -> Stop:
    """The stop of the newest version: the draft's where there is one."""
    return Stop.objects.filter(job=job).select_related("crew_day").order_by("-pk")[0]


def _free_places(company: Company, taken: Place) -> list[tuple[Crew, date]]:
    crews = (company.north, company.south)
    places = [(crew, day(number)) for crew in crews for number in range(5)]
    return [(crew, on) for crew, on in places if (crew.pk, on) != taken]


def _move(company: Company, stop_id: int, revision: int, crew: Crew, on: date) -> object:
    return stop_move(
        actor=ACTOR,
        branch=company.fairfield,
        stop_id=stop_id,
        crew=crew,
        day=on,
        expected={str(WEEK): revision},
        now=NOW,
        today=TODAY,
    )


def plans_clicked(company: Company, clicks: int = CLICKS) -> dict[str, Any]:
    """Press Plan so many times at once as one person; tell the answers, the runs and the rings."""
    house_make(company, "Lot 1", {"flat_blow": 100})

    def click() -> object:
        browser = Client(SERVER_NAME="127.0.0.1")
        browser.cookies = visitor.cookies
        answer = browser.post(f"/week/{WEEK}/plan/", {"weeks": 1, "seconds": 5})
        return f"{answer.status_code} {answer.headers.get('Location')}"

    with (
        time_machine.travel(NOW, tick=False),
        patch("scheduling.runs.bell.ring") as ring,
        Crowd(clicks) as crowd,
    ):
        visitor = signed_in(company.omar)
        answers = Counter(map(str, crowd.at_once([click] * clicks)))
    return {"answers": answers, "runs": PlanningRun.objects.count(), "rings": ring.call_count}
