"""The superintendent's page by link: what opens, what it says, what a sent form changes."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.http import HttpResponse
from django.test import Client

from contractor.models import Event
from jobs.models import ChecklistLink, Condition, Job, Superintendent
from scheduling.models import WeekVersion
from tests.jobs.views.built import built
from tests.pages import HOSTILE, inline_faults, statements, weight, words
from tests.people import MONDAY, NOW, Company, signed_in, site_make
from tests.scheduling.houses import version_make, visit_make
from tests.scheduling.views.phones import WORK, posted_day, secret_of


@pytest.fixture(autouse=True)
def _thursday_morning() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


def opened(secret: str, query: str = "") -> HttpResponse:
    return Client().get(f"/c/{secret}/{query}")  # type: ignore[return-value]


def of(job: Job, code: str) -> Condition:
    return job.conditions.get(code=code)


def send(secret: str, job: Job, *answers: tuple[Condition, dict[str, str]], **more: str) -> Any:
    """Send a house's form with answers for some of its things, as a browser would."""
    data = {"house": str(job.pk), "name": "Rosa Reyes", **more}
    for condition, fields in answers:
        given = {"version": str(condition.version), **fields}
        data |= {f"c{condition.pk}-{name}": value for name, value in given.items()}
    return Client(enforce_csrf_checks=True).post(f"/c/{secret}/?lang=en", data, follow=True)


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
    assert "Our crew comes Tue Mar 2." in after
    assert "Wed Mar 3" not in after


def test_the_most_urgent_house_stands_first_and_lies_open(company: Company) -> None:
    later, sooner = built(company, "Lot 1"), built(company, "Lot 2")
    posted = version_make(company, WeekVersion.State.POSTED)
    visit_make(posted, company.north, MONDAY, sooner, WORK)
    page = opened(secret_of(later)).content.decode()
    assert page.index(f'id="house-{sooner.pk}" open') < page.index(f'id="house-{later.pk}">')


def test_opening_it_a_hundred_times_changes_nothing(company: Company) -> None:
    job = built(company)
    secret = secret_of(job)
    before = everything()
    client = Client()
    for _ in range(50):
        client.get(f"/c/{secret}/")
        client.head(f"/c/{secret}/")
    client.get(f"/c/{secret}/thanks/?lang=es")
    assert everything() == before
    assert client.cookies == {}


def test_it_goes_to_no_other_site_no_search_engine_and_no_store(company: Company) -> None:
    secret = secret_of(built(company))
    for address in (f"/c/{secret}/", f"/c/{secret}/thanks/", "/c/wrong/"):
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
    answers += [Client().post(f"/c/{secret}/", {"house": job.pk}) for secret in (expired, "x")]
    answers += [Client().get(f"/c/{expired}/thanks/")]
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
        assert f'name="c{good.pk}-answer" value="done" checked' in page.content.decode()


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


def test_another_superintendent_s_house_cannot_be_answered_for(company: Company) -> None:
    mine = built(company)
    other = built(company, "Lot 9", site=site_make(company.fairfield, "Far", superintendent="Roe"))
    secret = secret_of(mine)
    answer = send(secret, other, (of(other, "chases_capped"), {"answer": "done"}))
    assert answer.status_code == 404
    smuggled = send(secret, mine, (of(other, "chases_capped"), {"answer": "done"}))
    assert smuggled.status_code == 400
    assert send(secret, mine, house="x").status_code == 404
    assert of(other, "chases_capped").state == "owed"


def test_the_language_is_the_superintendent_s_and_can_be_asked_for(company: Company) -> None:
    job = built(company)
    secret = secret_of(job)
    assert "what your houses still owe us" in words(opened(secret))
    assert "lo que falta en sus casas" in words(opened(secret, "?lang=es"))
    Superintendent.objects.update(language="es")
    spanish = opened(secret)
    assert spanish.headers["Content-Language"] == "es"
    assert '<html lang="es">' in spanish.content.decode()
    assert "what your houses" in words(opened(secret, "?lang=en"))
    assert "lo que falta" in words(opened(secret, "?lang=xx"))


def test_spanish_has_no_english_left_between(company: Company) -> None:
    (job,) = posted_day(company)
    secret = secret_of(job)
    page = words(opened(secret, "?lang=es"))
    wrong = words(Client().post(f"/c/{secret}/?lang=es", {"house": job.pk, "name": "Rosa"}))
    thanks = words(Client().get(f"/c/{secret}/thanks/?lang=es"))
    assert "Nuestra cuadrilla llega el lun 1 de marzo." in page
    assert "huecos verticales y cajillos tapados pendiente" in page
    assert "No marcó ninguna respuesta." in wrong
    assert "Gracias. La oficina ya tiene sus respuestas." in thanks
    for english in (" the ", " and ", "owed", "Done", "done", "answer", "Note"):
        assert english not in page + wrong + thanks


def test_weight_requests_and_statements_stay_within_the_budget(company: Company) -> None:
    """14 kB with its stylesheet, two requests, eight statements; for one house as for eight."""
    job = built(company)
    secret = secret_of(job)
    with statements() as one:
        opened(secret)
    few = one()
    for n in range(2, 9):
        built(company, f"Lot {n}")
    with statements() as many:
        response = opened(secret)
    assert many() == few
    assert few <= 8
    assert weight(response) <= 14 * 1024
    page = response.content.decode()
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
