"""A superintendent's answers: all or none, by whom, and what is not theirs goes to the office."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from contractor.access import scope_of
from contractor.events import Actor
from contractor.files.photos import Picture
from contractor.models import Event, Photo
from jobs.checklists.queries import photos_of
from jobs.checklists.services.answers import ChecklistAnswer, checklist_answer
from jobs.checklists.services.link import checklist_link_make
from jobs.conditions.states import Grounds, MoveRefused
from jobs.desk.services import Stale
from jobs.estimates.services.estimate import job_estimate
from jobs.models import ChecklistLink, Condition, Job
from jobs.readiness.queries.calls import calls_list
from jobs.readiness.services.condition import condition_move
from jobs.readiness.services.disown import condition_disown
from tests.people import ACTOR, NOW, Company, attic_make, job_make, site_make

TUESDAY = date(2027, 3, 2)


@pytest.fixture
def job(company: Company) -> Job:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


@pytest.fixture
def link(job: Job) -> ChecklistLink:
    person = job.site.superintendent
    assert person is not None
    made = checklist_link_make(superintendent=person, branch=job.site.branch, actor=ACTOR, now=NOW)
    return made[0]


def of(job: Job, code: str) -> Condition:
    return job.conditions.get(code=code)


def said(condition: Condition, answer: str, **more: object) -> ChecklistAnswer:
    return ChecklistAnswer(condition.pk, condition.version, answer, **more)  # type: ignore[arg-type]


def take(link: ChecklistLink, *answers: ChecklistAnswer, name: str = "Rosa Reyes") -> None:
    checklist_answer(link=link, answers=answers, name=name, now=NOW)


def test_done_on_a_day_and_not_ours(job: Job, link: ChecklistLink) -> None:
    done, on, other = (of(job, c) for c in ("ceiling_board", "roof_dried_in", "attic_access"))
    take(
        link,
        said(done, "done", note="taped too"),
        said(on, "on", day=TUESDAY),
        said(other, "not_ours", note="The owner has the key"),
    )
    done, on, other = (of(job, c) for c in ("ceiling_board", "roof_dried_in", "attic_access"))
    assert (done.state, done.reason, done.moved_by) == ("reported_done", "taped too", "Rosa Reyes")
    assert (on.state, on.promised_for) == ("promised", TUESDAY)
    assert other.state == "owed"
    assert other.reason == "Not ours, says Rosa Reyes: The owner has the key"
    assert {event.source for event in Event.objects.filter(verb="moved")} == {Event.Source.LINK}
    assert Event.objects.get(verb="disowned").what["code"] == "attic_access"


def test_who_is_not_the_superintendent_is_kept_beside_the_name(
    job: Job, link: ChecklistLink
) -> None:
    take(link, said(of(job, "ceiling_board"), "done"), name="Joe Park")
    assert of(job, "ceiling_board").moved_by == "Joe Park, by the link of Rosa Reyes"


def test_all_or_none(job: Job, link: ChecklistLink) -> None:
    done, stale = of(job, "ceiling_board"), of(job, "roof_dried_in")
    events = Event.objects.count()
    with pytest.raises(Stale):
        take(link, said(done, "done"), ChecklistAnswer(stale.pk, 77, "done"))
    assert of(job, "ceiling_board").state == "owed"
    assert Event.objects.count() == events


def test_another_superintendent_s_condition_is_not_on_the_list(
    job: Job, link: ChecklistLink, company: Company
) -> None:
    other = job_make(site_make(company.fairfield, "Elsewhere", superintendent="Ruth Roe"))
    attic_make(other, company.cellulose)
    job_estimate(job_id=other.pk, actor=ACTOR, now=NOW)
    with pytest.raises(ValidationError, match="not on this checklist"):
        take(link, said(of(other, "ceiling_board"), "done"))


def test_done_twice_changes_nothing(job: Job, link: ChecklistLink) -> None:
    take(link, said(of(job, "ceiling_board"), "done"))
    events, version = Event.objects.count(), of(job, "ceiling_board").version
    take(link, said(of(job, "ceiling_board"), "done"))
    assert (Event.objects.count(), of(job, "ceiling_board").version) == (events, version)


def test_an_answer_can_be_changed_until_a_crew_has_seen_the_thing(
    job: Job, link: ChecklistLink, company: Company
) -> None:
    take(link, said(of(job, "ceiling_board"), "done"))
    take(link, said(of(job, "ceiling_board"), "on", day=TUESDAY))
    assert of(job, "ceiling_board").state == "promised"
    seen = of(job, "ceiling_board")
    condition_move(
        condition_id=seen.pk,
        version=seen.version,
        to_state="seen_done",
        grounds=Grounds(),
        actor=Actor.of_user(company.cleo, Event.Source.PHONE),
        now=NOW,
    )
    for answer in (
        said(of(job, "ceiling_board"), "on", day=TUESDAY),
        said(of(job, "ceiling_board"), "not_ours", note="x"),
    ):
        with pytest.raises(MoveRefused):
            take(link, answer)
    assert of(job, "ceiling_board").state == "seen_done"


def test_disowning_needs_words_and_the_present_version(job: Job) -> None:
    condition = of(job, "ceiling_board")
    given = {"condition_id": condition.pk, "actor": ACTOR, "now": NOW}
    with pytest.raises(ValidationError, match="Say whose it is"):
        condition_disown(version=condition.version, note="  ", **given)  # type: ignore[arg-type]
    with pytest.raises(Stale):
        condition_disown(version=condition.version + 1, note="x", **given)  # type: ignore[arg-type]


def test_disowning_takes_back_a_promise_and_stays_with_the_office(
    job: Job, link: ChecklistLink, company: Company
) -> None:
    take(link, said(of(job, "ceiling_board"), "on", day=TUESDAY))
    take(link, said(of(job, "ceiling_board"), "not_ours", note="x" * 400))
    condition = of(job, "ceiling_board")
    assert (condition.state, condition.promised_for) == ("owed", None)
    assert len(condition.reason) == 300
    calls = calls_list(scope_of(company.omar), now=NOW)
    assert condition in [ask.condition for call in calls for ask in call.asks]


def test_a_photo_is_kept_with_the_answer_and_ten_are_enough(job: Job, link: ChecklistLink) -> None:
    picture = Picture(b"jpeg", 40, 30)
    for _ in range(10):
        take(link, said(of(job, "ceiling_board"), "done", picture=picture))
    board = of(job, "ceiling_board")
    (first, *_more) = photos_of([board])[board.pk]
    assert (first.state, first.photo.sent_by) == ("reported_done", "Rosa Reyes")
    assert first.photo.branch == job.site.branch
    with pytest.raises(ValidationError, match="ten photos of this thing already"):
        take(link, said(board, "on", day=TUESDAY, picture=picture))
    assert of(job, "ceiling_board").state == "reported_done"
    assert board.photos.count() == Photo.objects.count() == 10
