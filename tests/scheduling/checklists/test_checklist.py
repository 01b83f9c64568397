"""The superintendent's page by link: what opens, what it says, what a sent form changes."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from contractor.models import Event
from jobs.checklists.services.code import checklist_code_make
from jobs.models import ChecklistLink, Condition, ConditionPhoto, Job, Superintendent
from scheduling.arrivals.services import window_tell
from scheduling.models import WeekVersion
from tests.contractor.files.test_photos import jpeg
from tests.jobs.estimates.built import built
from tests.pages import HOSTILE, Reply, inline_faults, marks, statements, weight, words
from tests.people import ACTOR, MONDAY, NOW, Company, signed_in, site_make
from tests.scheduling.arrivals.arrivals import hours
from tests.scheduling.crew_days.phones import WORK, posted_day, secret_of
from tests.scheduling.houses import version_make, visit_make
from tests.trust.faults.harness import state_digest


@pytest.fixture(autouse=True)
def _thursday_morning() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


def opened(secret: str, query: str = "") -> Reply:
    return Client().get(f"/c/{secret}/{query}")


def of(job: Job, code: str) -> Condition:
    return job.conditions.get(code=code)


def send(secret: str, job: Job, *answers: tuple[Condition, dict[str, Any]], **more: str) -> Any:
    """Send a house's form with answers for some of its things, as a browser would."""
    data: dict[str, Any] = {"name": "Rosa Reyes", **more}
    for condition, fields in answers:
        given = {"version": str(condition.version), **fields}
        data |= {f"c{condition.pk}-{name}": value for name, value in given.items()}
    address = f"/c/{secret}/{job.pk}/?lang=en"
    return Client(enforce_csrf_checks=True).post(address, data, follow=True)


def everything() -> tuple[Any, ...]:
    models = (Condition, ChecklistLink, Job, Event)
    return tuple(list(model.objects.order_by("pk").values()) for model in models)


def test_the_houses_of_one_superintendent_and_what_each_owes(company: Company) -> None:
    job = built(company)
    built(company, "Lot 9", site=site_make(company.fairfield, "Elsewhere", superintendent="Roe"))
    page = words(opened(secret_of(job)))
    assert "Rosa Reyes: what your houses still owe us" in page
    assert "Quarry Lane 1, Lot 1" in page
    assert "chases and dropped soffits capped owed" in page
    assert "Elsewhere" not in page
    assert "walk boards" not in page  # ours to do


def test_only_dates_of_posted_weeks_are_told(company: Company) -> None:
    job = built(company)
    secret = secret_of(job)
    draft = version_make(company, WeekVersion.State.DRAFT)
    visit_make(draft, company.north, date(2027, 3, 3), job, WORK)
    before = words(opened(secret))
    assert "No day for our crew yet. You said it would be ready Mon Mar 1." in before
    assert "Wed Mar 3" not in before
    posted = version_make(company, WeekVersion.State.POSTED)
    visit_make(posted, company.north, date(2027, 3, 2), job, WORK)
    after = words(opened(secret))
    assert "Our crew comes between 7:00 a.m. and 9:00 a.m. on Tue Mar 2." in after
    assert "Wed Mar 3" not in after


def test_the_most_urgent_house_stands_first_and_each_has_its_address(company: Company) -> None:
    later, sooner = built(company, "Lot 1"), built(company, "Lot 2")
    posted = version_make(company, WeekVersion.State.POSTED)
    visit_make(posted, company.north, MONDAY, sooner, WORK)
    secret = secret_of(later)
    page = marks(opened(secret))
    assert f'id="house-{sooner.pk}"' in page
    assert f'id="house-{later.pk}"' not in page
    assert f'href="/c/{secret}/{later.pk}/?lang=en"' in page
    other = marks(opened(secret, f"{later.pk}/"))
    assert f'id="house-{later.pk}"' in other
    assert f'href="/c/{secret}/{sooner.pk}/?lang=en"' in other


def test_opening_every_address_a_hundred_times_changes_nothing(company: Company) -> None:
    job = built(company)
    secret = secret_of(job)
    checklist_code_make(link=ChecklistLink.objects.get(), actor=ACTOR, now=NOW)
    addresses = [f"/c/{secret}/{rest}" for rest in ("", f"{job.pk}/", f"{job.pk}/thanks/?lang=es")]
    before = state_digest()
    client = Client()
    for address in (*addresses, "/code/", "/code/?code=ACDE2345"):
        for _ in range(50):
            client.get(address)
            client.head(address)
    assert state_digest() == before
    assert client.cookies == {}


def test_it_goes_to_no_other_site_no_search_engine_and_no_store(company: Company) -> None:
    job = built(company)
    base = f"/c/{secret_of(job)}/"
    for address in (base, f"{base}{job.pk}/", f"{base}{job.pk}/thanks/", "/c/wrong/"):
        headers = Client().get(address).headers
        assert headers["Referrer-Policy"] == "no-referrer"
        assert headers["X-Robots-Tag"] == "noindex, nofollow"
        assert headers["Cache-Control"] == "no-store"


def test_wrong_expired_and_revoked_look_alike_and_say_ring_the_office(company: Company) -> None:
    job = built(company)
    expired, revoked = secret_of(job), secret_of(job)
    first, second = ChecklistLink.objects.order_by("pk")
    ChecklistLink.objects.filter(pk=first.pk).update(expires_at=NOW - timedelta(seconds=1))
    ChecklistLink.objects.filter(pk=second.pk).update(revoked_at=NOW)
    answers = [opened(secret) for secret in (expired, revoked, "wrong", "ü" * 500)]
    answers += [Client().post(f"/c/{secret}/{job.pk}/") for secret in (expired, "x")]
    answers += [opened(expired, f"{job.pk}/thanks/"), opened(secret_of(job), "987654/")]
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.content for answer in answers}) == 1
    page = words(answers[0])
    assert "Ring the insulation contractor's office" in page
    assert "Llame a la oficina" in page


def test_done_on_a_day_and_not_ours(company: Company) -> None:
    job = built(company)
    done, on, other = (of(job, c) for c in ("chases_capped", "roof_dried_in", "attic_access"))
    page = send(
        secret_of(job),
        job,
        (done, {"answer": "done"}),
        (on, {"answer": "on", "day": "2027-03-02"}),
        (other, {"answer": "not_ours", "note": "The owner has the key"}),
    )
    assert "Thank you. Your answers are with the office." in words(page)
    assert "What happens next" in words(page)
    assert of(job, "chases_capped").state == "reported_done"
    assert of(job, "roof_dried_in").promised_for == date(2027, 3, 2)
    assert of(job, "attic_access").reason == "Not ours, says Rosa Reyes: The owner has the key"
    office = words(signed_in(company.omar).get(f"/jobs/{job.pk}/"))
    assert "“Not ours, says Rosa Reyes: The owner has the key”" in office
    assert {e.source for e in Event.objects.filter(noun="condition")} == {Event.Source.LINK}


def test_an_answer_can_be_changed_until_a_crew_has_seen_the_thing(company: Company) -> None:
    (job,) = posted_day(company)
    secret = secret_of(job)
    send(secret, job, (of(job, "chases_capped"), {"answer": "done"}))
    page = words(opened(secret))
    assert "capped reported done (Rosa Reyes)" in page
    assert page.index("1 thing is reported done. Change that?") < page.index("capped reported")
    send(secret, job, (of(job, "chases_capped"), {"answer": "on", "day": "2027-03-01"}))
    assert of(job, "chases_capped").state == "promised"
    stale = of(job, "chases_capped")
    Condition.objects.filter(pk=stale.pk).update(state="seen_done", version=stale.version + 1)
    assert "chases and dropped soffits" not in words(opened(secret))
    late = send(secret, job, (stale, {"answer": "done"}))
    assert "No answer was chosen." in words(late)
    assert of(job, "chases_capped").state == "seen_done"


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"answer": "on", "day": "2027-02-24"}, "capped, Date: Wed Feb 24 is past"),
        ({"answer": "on", "day": "3027-02-24"}, "capped, Date: 3027-02-24 is too far off"),
        ({"answer": "on", "day": "Thursday"}, "capped, Date: Enter a valid date."),
        ({"answer": "on"}, "capped, Date: Say on which day."),
        ({"answer": "not_ours"}, "capped, Note: Say whose it is"),
        ({"answer": "seen_done"}, "capped, Answer: Select a valid choice."),
        ({}, "No answer was chosen."),
    ],
)
def test_a_wrong_answer_names_the_field_and_nothing_is_sent(
    company: Company, fields: dict[str, str], said: str
) -> None:
    job = built(company)
    secret, good = secret_of(job), of(job, "roof_dried_in")
    others = [(good, {"answer": "done"})] if fields else []
    before = everything()
    page = send(secret, job, (of(job, "chases_capped"), fields), *others)
    assert page.status_code == 400
    assert said in words(page)
    assert "Nothing was sent." in words(page)
    assert everything() == before
    if fields:  # what was typed well is still there
        assert f'name="c{good.pk}-answer" value="done" checked' in marks(page)


def test_a_name_is_asked_for_and_kept(company: Company) -> None:
    job = built(company)
    secret, done = secret_of(job), (of(job, "chases_capped"), {"answer": "done"})
    page = send(secret, job, done, name="")
    assert page.status_code == 400
    assert "Your name: This field is required." in words(page)
    send(secret, job, done, name="Joe Park")
    assert of(job, "chases_capped").moved_by == "Joe Park, by the link of Rosa Reyes"


def test_of_two_who_answer_at_once_the_second_hears_what_is_true(company: Company) -> None:
    job = built(company)
    secret, as_both_saw_it = secret_of(job), of(job, "chases_capped")
    send(secret, job, (as_both_saw_it, {"answer": "on", "day": "2027-03-02"}))
    page = send(secret, job, (as_both_saw_it, {"answer": "done"}))
    assert page.status_code == 409
    assert "somebody was quicker. It is now promised for Tue Mar 2 (Rosa Reyes)." in words(page)
    assert of(job, "chases_capped").state == "promised"


def test_who_was_overtaken_in_one_thing_keeps_what_was_typed_for_the_others(
    company: Company,
) -> None:
    job = built(company)
    secret, board, roof = secret_of(job), of(job, "chases_capped"), of(job, "roof_dried_in")
    send(secret, job, (board, {"answer": "on", "day": "2027-03-02"}))
    page = send(secret, job, (board, {"answer": "done"}), (roof, {"answer": "done"}))
    assert page.status_code == 409
    html = marks(page)
    assert f'name="c{roof.pk}-answer" value="done" checked' in html
    assert f'name="c{board.pk}-answer" value="done" checked' not in html
    assert of(job, "roof_dried_in").state == "owed"


def test_a_photo_goes_to_the_office_and_to_nobody_else(company: Company) -> None:
    job = built(company)
    secret, board = secret_of(job), of(job, "chases_capped")
    photo = SimpleUploadedFile("IMG_1.jpg", jpeg(), content_type="image/jpeg")
    page = send(secret, job, (board, {"answer": "done", "photo": photo}))
    assert "Thank you." in words(page)
    kept = ConditionPhoto.objects.get(condition=board)
    assert (kept.state, kept.photo.branch) == ("reported_done", company.fairfield)
    address = f"/photos/{kept.photo.pk}/"
    assert address not in marks(opened(secret))
    office = signed_in(company.omar)
    assert address in marks(office.get(f"/jobs/{job.pk}/"))
    assert office.get(address).content == bytes(kept.photo.content)


def test_what_is_no_photo_or_stands_without_an_answer_is_refused(company: Company) -> None:
    job = built(company)
    secret, board = secret_of(job), of(job, "chases_capped")
    bad = SimpleUploadedFile("IMG_1.jpg", b"<svg/>", content_type="image/jpeg")
    page = send(secret, job, (board, {"answer": "done", "photo": bad}))
    assert page.status_code == 400
    assert "capped, Photo: The photo cannot be read; expected a JPEG" in words(page)
    for field in ({"photo": SimpleUploadedFile("a.jpg", jpeg())}, {"note": "by noon"}):
        page = send(secret, job, (board, field))
        assert page.status_code == 400
        assert "capped, Answer: Tick “done”, a day or “not ours” too." in words(page)
    assert "Choose the photos again" not in words(page)
    assert ConditionPhoto.objects.count() == 0


def test_a_send_too_large_is_refused_from_its_head(company: Company) -> None:
    job = built(company)
    secret, before = secret_of(job), everything()
    address = f"/c/{secret}/{job.pk}/?lang=en"
    page = Client().post(address, {"name": "Rosa"}, CONTENT_LENGTH=str(41 * 1024**2))
    assert page.status_code == 413
    assert "That is more than 40 MB together" in words(page)
    assert everything() == before


def test_the_thanks_page_says_what_was_understood_and_what_comes_next(company: Company) -> None:
    job, next_one = built(company), built(company, "Lot 2")
    secret = secret_of(job)
    page = words(send(secret, job, (of(job, "chases_capped"), {"answer": "done"})))
    assert "chases and dropped soffits capped: reported done (Rosa Reyes)" in page
    assert "what it does not find done is owed again" in page
    assert f"Next house: {next_one}" in page
    assert "things to answer" in page


def test_another_superintendent_s_house_cannot_be_answered_for(company: Company) -> None:
    mine = built(company)
    other = built(company, "Lot 9", site=site_make(company.fairfield, "Far", superintendent="Roe"))
    secret = secret_of(mine)
    answer = send(secret, other, (of(other, "chases_capped"), {"answer": "done"}))
    assert answer.status_code == 404
    smuggled = send(secret, mine, (of(other, "chases_capped"), {"answer": "done"}))
    assert smuggled.status_code == 400
    assert of(other, "chases_capped").state == "owed"


def test_the_language_is_the_superintendent_s_and_can_be_asked_for(company: Company) -> None:
    job = built(company)
    secret = secret_of(job)
    assert "what your houses still owe us" in words(opened(secret))
    assert "lo que falta en sus casas" in words(opened(secret, "?lang=es"))
    Superintendent.objects.update(language="es")
    spanish = opened(secret)
    assert spanish.headers["Content-Language"] == "es"
    assert '<html lang="es">' in marks(spanish)
    assert "what your houses" in words(opened(secret, "?lang=en"))
    assert "lo que falta" in words(opened(secret, "?lang=xx"))


def test_spanish_has_no_english_left_between(company: Company) -> None:
    (job,) = posted_day(company)
    secret = secret_of(job)
    page = words(opened(secret, "?lang=es"))
    wrong = words(Client().post(f"/c/{secret}/{job.pk}/?lang=es", {"name": "Rosa"}))
    thanks = words(opened(secret, f"{job.pk}/thanks/?lang=es"))
    assert "Nuestra cuadrilla llega entre 7:00 a.m. y 9:00 a.m. el lun 1 de marzo." in page
    assert "huecos verticales y cajillos tapados pendiente" in page
    assert "No marcó ninguna respuesta." in wrong
    assert "Gracias. La oficina ya tiene sus respuestas." in thanks
    for english in (" the ", " and ", "owed", "Done", "done", "answer", "Note"):
        assert english not in page + wrong + thanks


def test_the_time_that_was_told_last_is_shown(company: Company) -> None:
    job = built(company)
    secret = secret_of(job)
    posted = version_make(company, WeekVersion.State.POSTED)
    visit_make(posted, company.north, date(2027, 3, 2), job, WORK)
    window_tell(
        job_id=job.pk,
        day=date(2027, 3, 2),
        window=hours("11:00", "12:30"),
        actor=ACTOR,
        now=NOW,
    )
    page = words(opened(secret))
    assert "Our crew comes between 11:00 a.m. and 12:30 p.m. on Tue Mar 2." in page


def test_weight_requests_and_statements_stay_within_the_budget(company: Company) -> None:
    """14 kB with its stylesheet, two requests, eight statements; for one house as for seventeen."""
    job = built(company)
    secret = secret_of(job)
    posted = version_make(company, WeekVersion.State.POSTED)
    visit_make(posted, company.north, date(2027, 3, 2), job, WORK)
    with statements() as one:
        opened(secret)
    few = one()
    for n in range(2, 18):
        visit_make(posted, company.south, date(2027, 3, 2), built(company, f"Lot {n}"), WORK)
    with statements() as many:
        response = opened(secret)
    assert many() == few
    assert few <= 8
    assert weight(response) <= 14 * 1024
    page = marks(response)
    assert page.count("stylesheet") == 1
    assert "<script" not in page
    assert "<img" not in page
    assert inline_faults(response) == []


def test_hostile_words_are_only_text(company: Company) -> None:
    site = site_make(company.fairfield, HOSTILE[:100], superintendent=HOSTILE)
    job = built(company, HOSTILE[:60], site=site)
    secret = secret_of(job)
    Condition.objects.filter(job=job).update(moved_by=HOSTILE)
    assert inline_faults(opened(secret)) == []
    field = {"answer": "not_ours", "note": HOSTILE, "day": HOSTILE}
    wrong = send(secret, job, (of(job, "chases_capped"), field), name=HOSTILE)
    assert wrong.status_code == 400
    assert inline_faults(wrong) == []


def test_nothing_open(company: Company) -> None:
    job = built(company)
    secret = secret_of(job)
    Condition.objects.update(state="seen_done")
    assert "Nothing more is owed here. Thank you." in words(opened(secret))
    Job.objects.update(state=Job.State.FINISHED)
    assert "none of your houses owes us anything now" in words(opened(secret))
