"""One job's own list: what the estimator adds or strikes, and what nobody strikes."""

import pytest
from django.db import IntegrityError, transaction

from contractor.events import Actor
from contractor.models import Event
from jobs.catalogue.services.entries import catalogue_retire
from jobs.conditions.seed import SEED
from jobs.conditions.states import MoveRefused
from jobs.desk.services import Stale
from jobs.estimates.services.estimate import job_estimate
from jobs.models import CatalogueItem, Condition, Job
from jobs.readiness.services.by_hand import condition_add, condition_strike, condition_unstrike
from jobs.spaces.services import space_save
from tests.people import ACTOR, NOW, Company, attic_make, job_make, site_make

pytestmark = pytest.mark.django_db
ALL_STEPS = ["air_seal", "baffles", "net", "batt", "dense_fill", "slope_blow", "flat_blow"]


@pytest.fixture
def job(company: Company) -> Job:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


def add(job: Job, code: str, reason: str = "seen on site", actor: Actor = ACTOR) -> Condition:
    item = CatalogueItem.objects.get(code=code)
    return condition_add(job_id=job.pk, item_id=item.pk, reason=reason, actor=actor, now=NOW)


def strike(job: Job, code: str, reason: str = "not here", actor: Actor = ACTOR) -> Condition:
    row = job.conditions.get(code=code)
    return condition_strike(
        condition_id=row.pk, version=row.version, reason=reason, actor=actor, now=NOW
    )


def test_an_estimator_adds_what_the_spaces_do_not_ask_for(job: Job, company: Company) -> None:
    row = add(job, "no_vermiculite", "grey pebbles at the hatch", Actor.of_user(company.esme))
    assert (row.gate, row.holds, row.by_hand) == ("stop", ["flat_blow"], "added")
    event = Event.objects.get(verb="added")
    assert (event.who, event.what["reason"]) == ("Esme", "grey pebbles at the hatch")
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    assert job.conditions.get(code="no_vermiculite").holds == ["flat_blow"]


def test_what_is_there_is_not_added_and_what_nothing_waits_for_neither(job: Job) -> None:
    with pytest.raises(MoveRefused, match="has it already"):
        add(job, "ceiling_board")
    with pytest.raises(MoveRefused, match="No step of this job waits"):
        add(job, "lead_rule")
    catalogue_retire(
        item_id=CatalogueItem.objects.get(code="rooms_cleared").pk, version=1, actor=ACTOR, now=NOW
    )
    with pytest.raises(CatalogueItem.DoesNotExist):
        add(job, "rooms_cleared")


def test_what_is_struck_holds_nothing_and_stays_struck(job: Job, company: Company) -> None:
    row = strike(job, "ceiling_board", "the old ceiling stays", Actor.of_user(company.esme))
    assert (row.holds, row.needed, row.by_hand_reason) == ([], False, "the old ceiling stays")
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    job.refresh_from_db()
    space = job.spaces.get()
    space_save(
        job_id=job.pk,
        version=job.version,
        space_id=space.pk,
        values={"area_ft2": 900},
        actor=ACTOR,
        now=NOW,
    )
    assert not job.conditions.get(code="ceiling_board").needed
    assert Event.objects.get(verb="struck").what["condition"] == "ceiling board hung and taped"


def test_a_struck_condition_comes_back_as_the_spaces_ask(job: Job) -> None:
    row = strike(job, "ceiling_board")
    back = condition_unstrike(condition_id=row.pk, version=row.version, actor=ACTOR, now=NOW)
    assert (back.needed, back.by_hand, "flat_blow" in back.holds) == (True, "", True)
    with pytest.raises(MoveRefused, match="It is not struck"):
        condition_unstrike(condition_id=row.pk, version=back.version, actor=ACTOR, now=NOW)


def test_what_was_added_and_struck_again_is_gone_when_brought_back(job: Job) -> None:
    add(job, "rooms_cleared")
    row = strike(job, "rooms_cleared")
    condition_unstrike(condition_id=row.pk, version=row.version, actor=ACTOR, now=NOW)
    assert not job.conditions.filter(code="rooms_cleared").exists()


def test_striking_takes_its_days_out_of_the_plan(company: Company) -> None:
    """Drywallers' two days after the walls (common practice, no source) go with their board."""
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    job.spaces.create(
        name="walls", kind="walls", area_ft2=800, target_r=21, depth_in="5.5", spacing_in=16,
        material=company.batts,
    )  # fmt: skip
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    before = job.steps.get(kind="flat_blow").lag_days
    strike(job, "ceiling_board")
    assert (before, job.steps.get(kind="flat_blow").lag_days) == (4, 2)


GATES = [entry for entry in SEED if entry.gate in ("stop", "law")]


@pytest.mark.parametrize("entry", GATES, ids=lambda entry: entry.code)
def test_nobody_strikes_a_stop_or_a_law(job: Job, company: Company, entry: object) -> None:
    """Sources of each gate: tests/jobs/conditions/test_guard.py."""
    found = next(one for one in SEED if one is entry)
    row = job.conditions.filter(code=found.code).first() or job.conditions.create(
        code=found.code, name=found.name, owed_by=found.owed_by, gate=found.gate, holds=ALL_STEPS
    )
    for person in (company.olive, company.omar, company.esme):
        with pytest.raises(MoveRefused, match="by anyone"):
            strike(job, found.code, "no time", Actor.of_user(person))
    with pytest.raises(IntegrityError), transaction.atomic():
        Condition.objects.filter(pk=row.pk).update(by_hand="struck", by_hand_reason="no time")


def test_a_reason_is_asked_for_and_who_comes_second_is_told(job: Job, company: Company) -> None:
    with pytest.raises(MoveRefused, match="Say why"):
        strike(job, "ceiling_board", "  ")
    with pytest.raises(MoveRefused, match="at most 300"):
        strike(job, "ceiling_board", "x" * 301)
    with pytest.raises(MoveRefused, match="not yours"):
        strike(job, "ceiling_board", actor=Actor.of_user(company.cleo))
    row = job.conditions.get(code="ceiling_board")
    strike(job, "ceiling_board")
    with pytest.raises(Stale):
        condition_strike(
            condition_id=row.pk, version=row.version, reason="again", actor=ACTOR, now=NOW
        )
    with pytest.raises(MoveRefused, match="holds nothing any more"):
        strike(job, "ceiling_board")
