"""Moves of conditions: who may, compare-and-set, what they leave behind."""

from datetime import date
from threading import Barrier, Thread
from time import sleep
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import OperationalError, connections

from contractor.events import Actor
from contractor.models import Event
from jobs.checklists.services.link import checklist_actor, checklist_link_make
from jobs.conditions.states import Grounds, MoveRefused
from jobs.desk.services import Stale
from jobs.estimates.services.estimate import job_estimate
from jobs.models import Condition, Job, Space
from jobs.readiness.services.condition import condition_move
from tests.people import ACTOR, NOW, Company, attic_make, company_make, job_make, site_make

TUESDAY = date(2027, 3, 2)


def house(company: Company) -> Job:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


@pytest.fixture
def condition(company: Company) -> Condition:
    return house(company).conditions.get(code="attic_access")


def move(
    condition: Condition, to_state: str, actor: Actor, version: int | None = None, **grounds: object
) -> Condition:
    return condition_move(
        condition_id=condition.pk,
        version=condition.version if version is None else version,
        to_state=to_state,
        grounds=Grounds(**grounds),  # type: ignore[arg-type]
        actor=actor,
        now=NOW,
    )


def test_the_office_notes_a_promise(condition: Condition, company: Company) -> None:
    omar = Actor.of_user(company.omar)
    moved = move(condition, "promised", omar, day=TUESDAY)
    moved.refresh_from_db()
    assert (moved.state, moved.promised_for) == ("promised", TUESDAY)
    assert (moved.moved_by, moved.moved_at, moved.version) == ("Omar", NOW, 2)


def test_a_move_leaves_an_event_with_before_and_after(
    condition: Condition, company: Company
) -> None:
    move(condition, "promised", Actor.of_user(company.omar), day=TUESDAY)
    event = Event.objects.get(verb="moved")
    assert event.what["state"] == ["owed", "promised"]
    assert event.what["promised_for"] == "2027-03-02"
    assert event.what["job"] == condition.job_id
    assert event.branch == company.fairfield


def test_a_promise_that_is_reported_done_has_no_date_any_more(
    condition: Condition, company: Company
) -> None:
    omar = Actor.of_user(company.omar)
    moved = move(condition, "promised", omar, day=TUESDAY)
    assert move(moved, "reported_done", omar).promised_for is None


def test_the_second_of_two_is_told_the_present_state(
    condition: Condition, company: Company
) -> None:
    omar = Actor.of_user(company.omar)
    move(condition, "promised", omar, version=1, day=TUESDAY)
    with pytest.raises(Stale) as stale:
        move(condition, "reported_done", omar, version=1)
    assert stale.value.present.state == "promised"
    assert stale.value.present.version == 2
    assert Event.objects.filter(verb="moved").count() == 1


@pytest.mark.parametrize(
    ("state", "grounds"),
    [("promised", {}), ("promised", {"day": date(2027, 2, 1)}), ("waived", {"reason": "x"})],
)
def test_a_move_without_its_grounds_changes_nothing(
    condition: Condition, company: Company, state: str, grounds: dict[str, Any]
) -> None:
    with pytest.raises(MoveRefused):
        move(condition, state, Actor.of_user(company.omar), **grounds)
    condition.refresh_from_db()
    assert (condition.state, condition.version) == ("owed", 1)
    assert not Event.objects.filter(verb="moved").exists()


def test_the_day_is_the_branchs_own(condition: Condition, company: Company) -> None:
    """At 03:00 UTC of March 2 it is still March 1 in America/Chicago (UTC-6 in winter)."""
    omar = Actor.of_user(company.omar)
    late = NOW.replace(month=3, day=2, hour=3)
    moved = condition_move(
        condition_id=condition.pk,
        version=1,
        to_state="promised",
        grounds=Grounds(day=date(2027, 3, 1)),
        actor=omar,
        now=late,
    )
    assert moved.promised_for == date(2027, 3, 1)


def test_a_waiver_keeps_whose_it_is_and_why(condition: Condition, company: Company) -> None:
    moved = move(
        condition, "waived", Actor.of_user(company.omar), name="Omar Ode", reason="hatch is enough"
    )
    assert moved.reason == "Omar Ode, hatch is enough"


def test_words_that_are_too_long_are_refused(condition: Condition, company: Company) -> None:
    with pytest.raises(ValidationError, match="300"):
        move(condition, "waived", Actor.of_user(company.omar), name="Omar", reason="x" * 300)
    condition.refresh_from_db()
    assert condition.state == "owed"


def test_a_superintendent_promises_by_link_and_may_not_see_done(
    condition: Condition, company: Company
) -> None:
    person = condition.job.site.superintendent
    assert person is not None
    link, _ = checklist_link_make(
        superintendent=person, branch=company.fairfield, actor=ACTOR, now=NOW
    )
    rosa = checklist_actor(link)
    with pytest.raises(MoveRefused):
        move(condition, "seen_done", rosa)
    moved = move(condition, "reported_done", rosa)
    assert moved.moved_by == "Rosa Reyes"
    assert Event.objects.get(verb="moved").source == "link"


def stop_of(company: Company) -> Condition:
    condition = house(company).conditions.filter(gate="stop").first()
    if condition is None:
        job = job_make(site_make(company.fairfield, "Old Mill"), year_built=1930)
        attic_make(job, company.cellulose)
        job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
        condition = job.conditions.filter(gate="stop").first()
    assert condition is not None
    return condition


def test_a_stop_is_not_cleared_from_the_office(company: Company) -> None:
    with pytest.raises(MoveRefused):
        move(stop_of(company), "seen_done", Actor.of_user(company.omar), document="letter 1")


def test_a_stop_is_cleared_by_a_lead_who_has_the_right(company: Company) -> None:
    stop = stop_of(company)
    with pytest.raises(MoveRefused):
        move(stop, "seen_done", Actor.of_user(company.cleo), document="letter 1")
    company.cleo.may_clear_stop = True
    moved = move(stop, "seen_done", Actor.of_user(company.cleo), document="letter 1")
    assert (moved.state, moved.document) == ("seen_done", "letter 1")


def test_what_is_seen_done_takes_its_days_out_of_the_lag(company: Company) -> None:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    Space.objects.create(
        job=job, name="slope", kind="slope_bays", bays=4, length_ft=16, depth_in=9, cover="net",
        material=company.cellulose,
    )  # fmt: skip
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    before = job.steps.get(kind="flat_blow").lag_days
    inspection = job.conditions.get(code="insulation_inspection")
    omar = Actor.of_user(company.omar)
    move(inspection, "seen_done", omar)
    seen = job.steps.get(kind="flat_blow").lag_days
    assert seen < before
    inspection.refresh_from_db()
    move(inspection, "owed", omar, reason="failed after all")
    assert job.steps.get(kind="flat_blow").lag_days == before


def test_a_move_between_reading_and_writing_is_not_overwritten(
    condition: Condition, company: Company, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Somebody else's move lands exactly after ours has looked."""
    omar = Actor.of_user(company.omar)

    def meanwhile(*args: object, **kwargs: object) -> None:
        Condition.objects.filter(pk=condition.pk).update(state="seen_done", version=2)

    monkeypatch.setattr("jobs.readiness.services.condition.move_allowed", meanwhile)
    with pytest.raises(Stale) as stale:
        move(condition, "promised", omar, day=TUESDAY)
    assert stale.value.present.state == "seen_done"
    assert not Event.objects.filter(verb="moved").exists()


@pytest.mark.django_db(transaction=True)
def test_of_twenty_at_once_one_moves_and_nineteen_are_told() -> None:
    """Compare-and-set under true concurrency, each with a connection of its own."""
    company = company_make()
    condition = house(company).conditions.get(code="attic_access")
    omar = Actor.of_user(company.omar)
    together = Barrier(20)
    told: list[tuple[str, date | None]] = []

    def attempt(day: date) -> tuple[str, date | None]:
        while True:
            try:
                return "moved", move(condition, "promised", omar, version=1, day=day).promised_for
            except Stale as stale:
                return "stale", stale.present.promised_for
            except OperationalError:
                sleep(0.01)  # SQLite's shared memory locks out at once, where a file would wait

    def answer(number: int) -> None:
        together.wait()
        told.append(attempt(date(2027, 3, number + 1)))
        connections.close_all()

    threads = [Thread(target=answer, args=(number,)) for number in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    condition.refresh_from_db()
    assert [what for what, _ in told].count("moved") == 1
    assert len(told) == 20
    assert {day for _, day in told} == {condition.promised_for}
    assert condition.version == 2
