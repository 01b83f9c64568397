"""Taking a condition over: our step and its charge, who may, what is refused, undoing, races."""

from datetime import date
from decimal import Decimal
from threading import Barrier, Thread
from time import sleep
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import OperationalError, connections

from contractor.events import Actor
from contractor.models import Event, PlanCosts
from jobs.charges.services import condition_take_over
from jobs.checklists.services.link import checklist_actor, checklist_link_make
from jobs.conditions.states import Grounds, MoveRefused
from jobs.desk.services import Stale
from jobs.estimates.services.estimate import job_estimate
from jobs.estimating.taken_over import Taken
from jobs.models import Actual, BackCharge, Condition, Job, Space
from jobs.readiness.services.condition import condition_move
from scheduling.gather.gathered import gather
from tests.people import (
    ACTOR,
    MONDAY,
    NOW,
    TODAY,
    Company,
    attic_make,
    company_make,
    job_make,
    site_make,
)
from tests.scheduling.houses import WEEK, version_make, visit_make

CHASE = Taken("chase", Decimal(12))


def house(company: Company, year_built: int | None = None) -> Job:
    job = job_make(site_make(company.fairfield), year_built=year_built)
    attic_make(job, company.cellulose)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


def of(job: Job, code: str = "chases_capped") -> Condition:
    return job.conditions.get(code=code)


def take(
    condition: Condition, taken: Taken = CHASE, actor: Actor = ACTOR, **more: Any
) -> BackCharge:
    told: dict[str, Any] = {"version": condition.version, "agreed_by": "Rosa Reyes, by phone"}
    told |= more
    return condition_take_over(condition_id=condition.pk, taken=taken, actor=actor, now=NOW, **told)


def move(condition: Condition, to_state: str, **grounds: Any) -> Condition:
    return condition_move(
        condition_id=condition.pk,
        version=condition.version,
        to_state=to_state,
        grounds=Grounds(**grounds),
        actor=ACTOR,
        now=NOW,
    )


def kinds(job: Job) -> list[str]:
    return [step.kind for step in job.steps.all() if step.needed]


@pytest.fixture
def job(company: Company) -> Job:
    return house(company)


def test_it_becomes_our_step_ahead_of_what_it_held_up(job: Job) -> None:
    charge = take(of(job))
    assert (of(job).state, of(job).reason) == ("taken_over", "Rosa Reyes, by phone")
    assert kinds(job) == ["cap_chases", "flat_blow"]
    step = job.steps.get(kind="cap_chases")
    # 72 person-minutes: 36 for each of two, a third loses a twentieth: 72 / 2.85.
    assert (step.person_minutes, step.crew_minutes["2"], step.crew_minutes["3"]) == (72, 36, 26)
    assert step.machine_kind == ""
    assert {"item": "rigid cover", "quantity": 14, "unit": "ft2"} in step.loads
    assert charge.step_kind == "cap_chases"


def test_the_charge_is_in_whole_cents_at_the_branch_s_rate(job: Job, company: Company) -> None:
    PlanCosts.objects.filter(branch=company.fairfield).update(labour_cents_per_hour=3805)
    charge = take(of(job), inspect_again=True, note="over the pantry")
    # 72 / 60 x 38.05 dollars = 45.66 dollars.
    assert (charge.person_minutes, charge.cents_per_hour, charge.cents) == (72, 3805, 4566)
    assert (charge.builder.name, charge.taken_on) == ("Hazel Homes", TODAY)
    assert (charge.agreed_by, charge.note) == ("Rosa Reyes, by phone", "over the pantry")
    assert charge.inspect_again
    assert all(figure["source"] for figure in charge.figures)
    assert [figure.with_numbers for figure in charge.explained] == [
        figure["with_numbers"] for figure in charge.figures
    ]
    cover = charge.explained[0]
    assert (cover.figure, cover.value, cover.unit) == ("rigid_cover", 14, "ft2")
    assert cover.source
    assert charge.minutes_by_people.kept() == charge.crew_minutes
    event = Event.objects.get(verb="charged")
    assert (event.what["cents"], event.what["job"]) == (4566, job.pk)
    assert Event.objects.get(verb="moved").what["state"] == ["owed", "taken_over"]


def test_the_planner_sees_the_step_at_once(job: Job, company: Company) -> None:
    def planned() -> list[str]:
        problem = gather(branch=company.fairfield, first=WEEK, weeks=1, today=TODAY).problem
        return [step.kind for one in problem.jobs for step in one.steps]

    assert planned() == ["flat_blow"]
    take(of(job))
    assert planned() == ["cap_chases", "flat_blow"]
    problem = gather(branch=company.fairfield, first=WEEK, weeks=1, today=TODAY).problem
    (minutes,) = [s.minutes for one in problem.jobs for s in one.steps if s.kind == "cap_chases"]
    assert minutes == {f"crew-{company.north.pk}": 26, f"crew-{company.south.pk}": 36}
    move(of(job), "owed", reason="They do it after all")
    assert planned() == ["flat_blow"]


def test_an_estimate_anew_keeps_the_step(job: Job) -> None:
    take(of(job))
    before = job.steps.get(kind="cap_chases").pk
    Space.objects.filter(job=job).update(area_ft2=Decimal(900))
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    assert job.steps.get(kind="cap_chases").pk == before
    events = Event.objects.filter(verb="estimated").count()
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    assert Event.objects.filter(verb="estimated").count() == events


def test_sealing_for_them_waits_for_what_sealing_waits_for(company: Company) -> None:
    # ANSI/BPI-1200: combustion is tested before leaks are closed, whoever closes them.
    old = house(company, year_built=1950)
    assert "combustion_test" in {row.code for row in old.conditions.all()}
    take(of(old))
    for code in ("combustion_test", "no_vermiculite"):
        assert "cap_chases" in of(old, code).holds
    assert "cap_chases" not in of(old).holds


def test_what_is_seen_done_leaves_the_plan_and_is_still_charged(job: Job) -> None:
    charge = take(of(job))
    move(of(job), "seen_done")
    assert kinds(job) == ["flat_blow"]
    charge.refresh_from_db()
    assert charge.struck_at is None


def test_undoing_strikes_the_charge_and_keeps_both_as_events(job: Job) -> None:
    charge = take(of(job))
    move(of(job), "owed", reason="The builder does it after all")
    charge.refresh_from_db()
    assert (charge.struck_by, charge.struck_reason) == (
        ACTOR.who,
        "The builder does it after all",
    )
    assert kinds(job) == ["flat_blow"]
    assert not BackCharge.objects.active().exists()
    verbs = list(Event.objects.filter(noun="backcharge").order_by("pk").values_list("verb"))
    assert verbs == [("charged",), ("struck",)]
    again = take(of(job), Taken("chase", Decimal(6)))
    assert (again.person_minutes, job.steps.get(kind="cap_chases").person_minutes) == (36, 36)


def test_undoing_needs_a_reason(job: Job) -> None:
    charge = take(of(job))
    with pytest.raises(MoveRefused, match="why"):
        move(of(job), "owed")
    charge.refresh_from_db()
    assert charge.struck_at is None


def test_what_has_begun_is_not_undone(job: Job, company: Company) -> None:
    take(of(job))
    step = job.steps.get(kind="cap_chases")
    posted = version_make(company, "posted")
    visit_make(posted, company.north, MONDAY, job, {"cap_chases": 26})
    move(of(job), "owed", reason="not yet")  # Monday is still to come: nothing has begun
    assert not job.steps.get(pk=step.pk).needed
    take(of(job))
    assert job.steps.get(pk=step.pk).needed
    Actual.objects.create(
        step=step,
        crew=company.north,
        people=3,
        minutes=30,
        worked_on=TODAY,
        estimated_minutes=26,
        entered_at=NOW,
    )
    with pytest.raises(MoveRefused, match="has begun"):
        move(of(job), "owed", reason="too late")
    assert of(job).state == "taken_over"


def test_what_is_posted_for_today_has_begun(job: Job, company: Company) -> None:
    take(of(job))
    visit_make(version_make(company, "posted"), company.north, MONDAY, job, {"cap_chases": 26})
    condition = of(job)
    with pytest.raises(MoveRefused, match="has begun"):
        condition_move(
            condition_id=condition.pk,
            version=condition.version,
            to_state="owed",
            grounds=Grounds(reason="too late"),
            actor=ACTOR,
            now=NOW.replace(month=3, day=1),
        )


def test_a_crew_lead_may_and_a_superintendent_and_an_estimator_may_not(
    job: Job, company: Company
) -> None:
    person = job.site.superintendent
    assert person is not None
    link, _ = checklist_link_make(
        superintendent=person, branch=company.fairfield, actor=ACTOR, now=NOW
    )
    for actor in (checklist_actor(link), Actor.of_user(company.esme)):
        with pytest.raises(MoveRefused, match="not yours"):
            take(of(job), actor=actor)
    assert not BackCharge.objects.exists()
    charge = take(of(job), actor=Actor.of_user(company.cleo))
    assert charge.taken_by == "Cleo"


@pytest.mark.parametrize(
    "code",
    [
        "electrical_rough_passed",
        "plumbing_rough_passed",
        "hvac_rough_passed",
        "framing_inspection",
        "insulation_inspection",
        "no_vermiculite",
        "no_live_knob_and_tube",
        "combustion_test",
        "junctions_covered",
        "recessed_lights_safe",
        "flues_dammed",
        "lead_rule",
        "ceiling_board",
    ],
)
def test_never_for_licensed_trades_inspections_asbestos_combustion(job: Job, code: str) -> None:
    condition, _ = Condition.objects.get_or_create(
        job=job,
        code=code,
        defaults={"name": code, "owed_by": "builder", "gate": "block", "holds": ["flat_blow"]},
    )
    with pytest.raises(MoveRefused, match="not work that we may take over"):
        take(condition)
    assert not BackCharge.objects.exists()


def test_an_entry_that_allows_it_by_mistake_does_not_open_a_stop(job: Job) -> None:
    Condition.objects.filter(job=job, code="chases_capped").update(gate="stop")
    with pytest.raises(MoveRefused):
        take(of(job))


def test_the_plain_move_does_not_take_over(job: Job) -> None:
    with pytest.raises(MoveRefused, match="how much"):
        move(of(job), "taken_over")
    assert of(job).state == "owed"


def test_what_is_ours_already_is_not_taken_over(job: Job) -> None:
    Condition.objects.filter(job=job, code="chases_capped").update(owed_by="us")
    with pytest.raises(MoveRefused, match="ours already"):
        take(of(job))


@pytest.mark.parametrize(
    ("taken", "agreed_by", "field"),
    [
        (Taken("chase", Decimal(0)), "Rosa", "amount"),
        (Taken("box", Decimal(3)), "Rosa", "measure"),
        (CHASE, "  ", "agreed_by"),
    ],
)
def test_what_is_wanting_is_named_and_changes_nothing(
    job: Job, taken: Taken, agreed_by: str, field: str
) -> None:
    with pytest.raises(ValidationError) as refused:
        take(of(job), taken, agreed_by=agreed_by)
    assert field in refused.value.message_dict
    assert of(job).state == "owed"
    assert kinds(job) == ["flat_blow"]


def test_of_two_the_second_is_told_and_charges_nothing(job: Job) -> None:
    seen = of(job)
    take(seen)
    with pytest.raises(Stale):
        take(seen)
    assert BackCharge.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_of_ten_at_once_one_takes_over_and_nine_are_told() -> None:
    job = house(company_make())
    condition, barrier, told = of(job), Barrier(10), []

    def race() -> None:
        barrier.wait()
        for _ in range(200):
            try:
                take(condition)
                told.append("taken")
            except Stale:
                told.append("stale")
            except OperationalError:
                sleep(0.01)
                continue
            break
        connections.close_all()

    threads = [Thread(target=race) for _ in range(10)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(told) == ["stale"] * 9 + ["taken"]
    assert BackCharge.objects.count() == 1
    assert kinds(job) == ["cap_chases", "flat_blow"]


def test_the_month_is_the_day_in_the_site_s_zone(job: Job) -> None:
    charge = take(of(job))
    assert list(BackCharge.objects.of_month(date(2027, 2, 1))) == [charge]
    assert not BackCharge.objects.of_month(date(2027, 3, 1)).exists()
