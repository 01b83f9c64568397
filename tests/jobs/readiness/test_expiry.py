"""What runs out goes back to owed with its reason: appointments with their day, hours when over."""

from datetime import date, datetime, timedelta
from io import StringIO

import pytest
from django.core.management import call_command

from contractor.events import Actor
from contractor.models import Event
from jobs.conditions.seed import ENTRIES, SEED
from jobs.conditions.states import Grounds
from jobs.estimates.services.estimate import job_estimate
from jobs.models import CatalogueItem, Condition, Job
from jobs.readiness.services.by_hand import condition_add
from jobs.readiness.services.condition import condition_move
from jobs.readiness.services.expiry import conditions_expire
from tests.people import ACTOR, MONDAY, NOW, Company, attic_make, job_make, site_make

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(company: Company) -> Job:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


def move(job: Job, code: str, to_state: str, actor: Actor = ACTOR, **grounds: object) -> Condition:
    row = job.conditions.get(code=code)
    return condition_move(
        condition_id=row.pk,
        version=row.version,
        to_state=to_state,
        grounds=Grounds(**grounds),  # type: ignore[arg-type]
        actor=actor,
        now=NOW,
    )


def expire(now: datetime) -> list[str]:
    return [row.code for row in conditions_expire(actor=ACTOR, now=now)]


def at_noon(day: date) -> datetime:
    """Noon in the yards' zone, which is six hours behind in winter."""
    return NOW.replace(year=day.year, month=day.month, day=day.day, hour=18)


def test_an_inspection_whose_day_is_past_is_owed_again(job: Job) -> None:
    """IRC R109.1.4: the framing inspection is an appointment with the building official."""
    move(job, "framing_inspection", "promised", day=MONDAY)
    assert expire(at_noon(MONDAY)) == []
    assert expire(at_noon(MONDAY + timedelta(days=1))) == ["framing_inspection"]
    row = job.conditions.get(code="framing_inspection")
    assert (row.state, row.promised_for) == ("owed", None)
    assert row.reason == "The appointment of Mon Mar 1 is past, and nobody has said how it went."
    event = Event.objects.filter(verb="moved").latest("pk")
    assert (event.what["state"], event.what["reason"]) == (["promised", "owed"], row.reason)
    assert expire(at_noon(MONDAY + timedelta(days=1))) == []


def test_the_day_ends_in_the_yard_s_own_zone(job: Job) -> None:
    """02:00 UTC on Tuesday is still Monday evening in the middle of America."""
    move(job, "framing_inspection", "promised", day=MONDAY)
    evening = at_noon(MONDAY) + timedelta(hours=8)
    assert evening.date() == MONDAY + timedelta(days=1)
    assert expire(evening) == []


def test_a_builder_s_promise_is_no_appointment_and_stays(job: Job) -> None:
    move(job, "ceiling_board", "promised", day=MONDAY)
    assert expire(at_noon(MONDAY + timedelta(days=9))) == []


def test_what_was_said_of_an_appointment_stays(job: Job) -> None:
    move(job, "framing_inspection", "promised", day=MONDAY)
    move(job, "framing_inspection", "reported_done")
    assert expire(at_noon(MONDAY + timedelta(days=9))) == []


def test_a_house_seen_empty_for_foam_is_so_for_a_day(job: Job, company: Company) -> None:
    """EPA: no universal re-entry time; 24 h for two-part foam where the product names none."""
    assert ENTRIES["house_empty_for_foam"].valid_hours == 24
    item = CatalogueItem.objects.get(code="house_empty_for_foam")
    item.holds = ["flat_blow", *item.holds]
    item.save()
    condition_add(job_id=job.pk, item_id=item.pk, reason="kit foam", actor=ACTOR, now=NOW)
    company.cleo.may_clear_stop = True
    company.cleo.save()
    move(job, "house_empty_for_foam", "seen_done", Actor.of_user(company.cleo))
    assert expire(NOW + timedelta(hours=23, minutes=59)) == []
    assert expire(NOW + timedelta(hours=24)) == ["house_empty_for_foam"]
    row = job.conditions.get(code="house_empty_for_foam")
    assert row.reason == "It was seen done more than 24 hours ago and has to be seen anew."


def test_finished_jobs_are_left_alone(job: Job) -> None:
    move(job, "framing_inspection", "promised", day=MONDAY)
    Job.objects.update(state=Job.State.CALLED_OFF)
    assert expire(at_noon(MONDAY + timedelta(days=9))) == []


def test_appointments_are_inspections_and_the_rater() -> None:
    assert {entry.code for entry in SEED if entry.booked} == {
        "plumbing_rough_passed",
        "electrical_rough_passed",
        "hvac_rough_passed",
        "framing_inspection",
        "insulation_inspection",
        "rater_visit",
    }


def test_the_command_says_what_ran_out(job: Job) -> None:
    move(job, "framing_inspection", "promised", day=MONDAY)
    Condition.objects.filter(code="framing_inspection").update(promised_for=date(2020, 1, 2))
    out = StringIO()
    call_command("expire_conditions", stdout=out)
    first, last = out.getvalue().splitlines()
    assert first.endswith("owed again. The appointment of Thu Jan 2 is past, and nobody has said"
                          " how it went.")  # fmt: skip
    assert last == "Conditions that ran out: 1."
