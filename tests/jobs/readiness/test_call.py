"""Calls written down: several answers or none, tries counted, one call in vain at a time."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from contractor.events import Actor
from contractor.models import Event
from jobs.conditions.states import MoveRefused
from jobs.desk.services import Stale
from jobs.models import CallAttempt, Condition, Job
from jobs.readiness.services.call import CallAnswer, CallTaken, call_record
from tests.jobs.estimates.built import built
from tests.people import NOW, Company, site_make

pytestmark = pytest.mark.django_db


def rung(
    company: Company, job: Job, *answers: CallAnswer, seen: int = 0, minutes: int = 0
) -> CallAttempt:
    call = call_record(
        superintendent_id=job.site.superintendent_id,
        branch=company.fairfield,
        answers=answers,
        seen=seen,
        actor=Actor.of_user(company.omar),
        now=NOW + timedelta(minutes=minutes),
    )
    assert call is not None
    return call


def said(job: Job, code: str, answer: str, **more: object) -> CallAnswer:
    row = job.conditions.get(code=code)
    return CallAnswer(row.pk, row.version, answer, **more)  # type: ignore[arg-type]


def test_one_call_settles_several_things_of_several_houses(company: Company) -> None:
    first, second = built(company, "Lot 1"), built(company, "Lot 2")
    day = date(2027, 3, 2)
    call = rung(
        company,
        first,
        said(first, "chases_capped", "done"),
        said(second, "chases_capped", "on", day=day),
        said(second, "roof_dried_in", "not_theirs", note="the owner's roofer"),
    )
    assert (call.outcome, call.number, call.tries, call.rest_until) == ("answered", 1, 0, None)
    assert first.conditions.get(code="chases_capped").state == "reported_done"
    promised = second.conditions.get(code="chases_capped")
    assert (promised.state, promised.promised_for, promised.moved_by) == ("promised", day, "Omar")
    disowned = second.conditions.get(code="roof_dried_in")
    assert disowned.reason == "Not ours, says Rosa Reyes (Omar): the owner's roofer"
    event = Event.objects.filter(noun="callattempt").get()
    assert (event.verb, event.branch, len(event.what["answers"])) == (
        "answered",
        company.fairfield,
        3,
    )


def test_one_refusal_undoes_the_whole_call(company: Company) -> None:
    job = built(company)
    good = said(job, "chases_capped", "done")
    past = said(job, "roof_dried_in", "on", day=date(2027, 2, 1))
    events = Event.objects.count()
    with pytest.raises(MoveRefused, match="is past"):
        rung(company, job, good, past)
    assert job.conditions.get(code="chases_capped").state == "owed"
    assert (CallAttempt.objects.count(), Event.objects.count()) == (0, events)


def test_calls_in_vain_are_counted_until_somebody_answers(company: Company) -> None:
    job = built(company)
    tries = [rung(company, job, seen=n, minutes=130 * n).tries for n in range(3)]
    assert tries == [1, 2, 3]
    answered = rung(company, job, said(job, "chases_capped", "done"), minutes=400)
    assert (answered.number, answered.tries) == (4, 0)
    again = rung(company, job, seen=4, minutes=500)
    assert (again.tries, again.rest_until) == (1, NOW + timedelta(minutes=620))
    verbs = Event.objects.filter(noun="callattempt").order_by("id").values_list("verb", flat=True)
    assert list(verbs) == ["rang in vain"] * 3 + ["answered", "rang in vain"]


def test_two_who_write_down_the_same_call_in_vain_make_one(company: Company) -> None:
    job = built(company)
    rung(company, job)
    with pytest.raises(CallTaken) as taken:
        rung(company, job)
    assert taken.value.present.who == "Omar"
    assert CallAttempt.objects.get().tries == 1


def test_an_answer_is_kept_whoever_rang_meanwhile(company: Company) -> None:
    job = built(company)
    answer = said(job, "chases_capped", "done")
    rung(company, job)
    assert rung(company, job, answer, seen=0).number == 2


def test_a_thing_that_somebody_moved_meanwhile_is_stale(company: Company) -> None:
    job = built(company)
    answer = said(job, "chases_capped", "done")
    rung(company, job, answer)
    with pytest.raises(Stale):
        rung(company, job, answer)
    assert CallAttempt.objects.count() == 1


@pytest.mark.parametrize("whose", ["another person", "another yard", "nobody"])
def test_a_thing_of_another_s_house_is_refused(company: Company, whose: str) -> None:
    job = built(company)
    if whose == "another person":
        site = site_make(company.fairfield, "Mill Street", superintendent="Ivo Hart")
    else:
        site = site_make(company.lowton, "Mill Street")
    answer = said(built(company, "Lot 9", site=site), "chases_capped", "done")
    if whose == "nobody":
        answer = CallAnswer(987654, 1, "done")
    with pytest.raises(ValidationError, match="not a house of the person"):
        rung(company, job, answer)
    assert not Condition.objects.exclude(state="owed").exists()
    assert not CallAttempt.objects.exists()


def test_a_house_without_superintendent_keeps_what_its_builder_said(company: Company) -> None:
    site = site_make(company.fairfield)
    type(site).objects.update(superintendent=None)
    job = built(company, site=site)
    kept = {"superintendent_id": None, "branch": company.fairfield, "seen": 0, "now": NOW}
    actor = Actor.of_user(company.omar)
    answers = [said(job, "chases_capped", "not_theirs", note="ours")]
    assert call_record(answers=answers, actor=actor, **kept) is None  # type: ignore[arg-type]
    assert job.conditions.get(code="chases_capped").reason == "Not ours, says Omar: ours"
    with pytest.raises(ValidationError, match="no superintendent"):
        call_record(answers=[], actor=actor, **kept)  # type: ignore[arg-type]
