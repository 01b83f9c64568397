"""A crew's day said by plain forms, without script: kept as facts, shown, refused with words."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from contractor.models import Event, User
from jobs.models import Condition, Job
from scheduling.models import Fact, FactPhoto, WeekVersion
from tests.pages import HOSTILE, inline_faults, marks, statements, words
from tests.people import MONDAY, Company, signed_in
from tests.scheduling.facts.facts import SEVEN, Day, day_make
from tests.scheduling.facts.test_facts import jpeg
from tests.scheduling.houses import house_make, visit_make

EIGHT = SEVEN + timedelta(hours=1)


@pytest.fixture
def day(company: Company) -> Day:
    made = day_make(company)
    Condition.objects.filter(pk=made.chase.pk).update(state="seen_done")
    return made


@pytest.fixture(autouse=True)
def clock() -> Iterator[time_machine.Traveller]:
    """Seven in the morning at the yard, until a test moves on."""
    with time_machine.travel(SEVEN, tick=False) as moved:
        yield moved


def address_of(company: Company) -> str:
    return reverse("crew-day", args=[company.north.pk, MONDAY.isoformat()])


def post(company: Company, kind: str, *, user: User | None = None, **more: Any) -> Any:
    data = {"id": str(uuid4()), "kind": kind, **more}
    data = {name: value for name, value in data.items() if value is not None}
    return signed_in(user or company.cleo).post(address_of(company), data)


def shown(company: Company, user: User | None = None) -> Any:
    return signed_in(user or company.cleo).get(address_of(company))


def main_action(company: Company) -> str:
    """The words of the one main action."""
    page = marks(shown(company))
    return words(_Part(page.split('id="thumb"')[1].split("</body>")[0])).strip()


class _Part:
    """A part of a page, as `words` takes it."""

    def __init__(self, text: str) -> None:
        self.content = text.encode()


def test_a_whole_day_by_plain_forms(
    company: Company, day: Day, clock: time_machine.Traveller
) -> None:
    job = day.lot.pk
    steps: list[tuple[str, str, dict[str, Any]]] = [
        ("Set out: 1. Quarry Lane 1, Lot 1", "set_out", {}),
        ("We are there: 1. Quarry Lane 1, Lot 1", "arrived", {}),
        ("Start: air sealing", "started", {"step": "air_seal"}),
        ("Finished: air sealing", "finished", {"step": "air_seal", **done(118)}),
        ("Start: flat blow", "started", {"step": "flat_blow"}),
        ("Finished: flat blow", "finished", {"step": "flat_blow", **done(80, bags="11")}),
    ]
    for number, (words_now, kind, more) in enumerate(steps):
        clock.move_to(SEVEN + timedelta(minutes=30 * number))
        assert words_now in main_action(company)
        answer = post(company, kind, job=job, **more)
        anchor = f"#step-{job}-{more['step']}" if more else f"#stop-{job}"
        assert answer.url == address_of(company) + anchor
    assert "Set out: 2. Quarry Lane 1, Lot 2" in main_action(company)
    page = words(shown(company))
    assert "finished 8:30 a.m., 118 min" in page
    assert "finished 9:30 a.m., 80 min, bags used: 11" in page
    assert [fact.kind for fact in Fact.objects.all()] == [kind for _, kind, _ in steps]
    assert set(Fact.objects.values_list("who", flat=True)) == {"Cleo"}
    assert {event.source for event in Event.objects.filter(verb="said")} == {"phone"}


def done(minutes: int, **more: Any) -> dict[str, Any]:
    return {"minutes": str(minutes), "whole": "true", **more}


def test_one_stop_is_open_and_the_others_are_folded(company: Company, day: Day) -> None:
    def opened() -> list[str]:
        stops = marks(shown(company)).split('<details class="stop"')[1:]
        return [stop.split('"')[1] for stop in stops if " open>" in stop.split("<summary>")[0]]

    assert opened() == [f"stop-{day.lot.pk}"]
    post(company, "set_out", job=day.second.pk)
    assert opened() == [f"stop-{day.second.pk}"]


def test_the_figures_of_a_finished_step(company: Company, day: Day) -> None:
    depths = ["16.5", "", "17,25", "16 18"]
    post(
        company,
        "finished",
        job=day.lot.pk,
        step="flat_blow",
        minutes="95",
        bags="",
        depths_in=depths,
        whole="false",
    )
    assert Fact.objects.get().what == {
        "minutes": 95,
        "bags": None,
        "depths_in": [16.5, 17.25, 16.0, 18.0],
        "whole": False,
    }
    assert "95 min, some is left" in words(shown(company))


def test_minutes_are_prefilled_from_started_to_now(
    company: Company, day: Day, clock: time_machine.Traveller
) -> None:
    post(company, "started", job=day.lot.pk, step="air_seal")
    clock.move_to(SEVEN + timedelta(minutes=47))
    page = marks(shown(company))
    assert 'data-since="2027-03-01T13:00:00+00:00" value="47"' in page


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"minutes": ""}, "Minutes: This field is required."),
        ({"minutes": "0"}, "Minutes: Ensure this value is greater than or equal to 1."),
        ({"minutes": "1441"}, "Minutes: Ensure this value is less than or equal to 1440."),
        ({"minutes": "soon"}, "Minutes: Enter a whole number."),
        ({"bags": "-1"}, "Bags used: Ensure this value is greater than or equal to 0."),
        ({"depths_in": "99"}, "Depth at the markers, inches: 99: expected inches over 0 and up"),
        ({"depths_in": "deep"}, "deep: expected inches over 0 and up to 60, such as 16.5."),
        ({"depths_in": "1 " * 61}, "60 depths or fewer, please."),
        ({"whole": "maybe"}, "Is it done?: Select a valid choice."),
    ],
)
def test_wrong_figures_are_said_beside_the_form_and_what_was_typed_stays(
    company: Company, day: Day, typed: dict[str, str], said: str
) -> None:
    given = {**done(95, bags="7", depths_in="16.5"), **typed}
    answer = post(company, "finished", job=day.lot.pk, step="flat_blow", **given)
    assert answer.status_code == 400
    form = marks(answer).split(f'id="finish-{day.lot.pk}-flat_blow" open')[1]
    form = form.split("</form>")[0]
    assert said in words(_Part(form))
    for name in ("minutes", "bags", "depths_in"):
        assert f'value="{given[name]}"' in form
    assert f'href="#finish-{day.lot.pk}-flat_blow"' in marks(answer)
    assert not Fact.objects.exists()


def test_a_check_that_is_true_lets_the_step_start(company: Company, day: Day) -> None:
    Condition.objects.filter(pk=day.chase.pk).update(state="reported_done")
    for kind in ("set_out", "arrived"):
        post(company, kind, job=day.lot.pk)
    post(company, "finished", job=day.lot.pk, step="air_seal", **done(60))
    assert "Look first: 1 thing to see" in main_action(company)
    answer = post(company, "checked", job=day.lot.pk, condition=day.chase.pk, answer="true")
    assert answer.url.endswith(f"#condition-{day.chase.pk}")
    assert "Start: flat blow" in main_action(company)


def test_a_check_that_is_not_true_asks_to_tell_the_office(company: Company, day: Day) -> None:
    Condition.objects.filter(pk=day.chase.pk).update(state="reported_done")
    post(company, "finished", job=day.lot.pk, step="air_seal", **done(60))
    said: dict[str, Any] = {"condition": day.chase.pk, "answer": "not_true", "reason": "still open"}
    post(company, "checked", job=day.lot.pk, **said)
    assert "We cannot start: tell the office" in main_action(company)
    form = marks(shown(company)).split(f'id="away-{day.lot.pk}" open')[1]
    assert f'value="{day.chase.pk}" checked' in form.split("</form>")[0]


def test_turned_away_with_a_photo_shows_where_to_go_next(company: Company, day: Day) -> None:
    Condition.objects.filter(pk=day.chase.pk).update(state="owed")
    said: dict[str, Any] = {"missing": [day.chase.pk], "why": "chase open", "photo": jpeg()}
    answer = post(company, "turned_away", job=day.lot.pk, **said)
    assert answer.status_code == 302
    away, photo = Fact.objects.order_by("kind", "pk").exclude(kind="note").order_by("-kind")
    assert away.what == {"missing": [day.chase.pk], "why": "chase open"}
    assert photo.what["about"] == str(away.pk)
    assert FactPhoto.objects.get().fact == photo
    page = marks(shown(company))
    assert "Next that is ready: 2. Quarry Lane 1, Lot 2" in page
    assert f'data-next-link href="#stop-{day.second.pk}"' in page


def test_the_same_form_sent_twice_says_it_once(company: Company, day: Day) -> None:
    said: dict[str, Any] = {"id": str(uuid4()), "job": day.lot.pk, "why": "gate locked"}
    for _ in range(2):
        answer = post(company, "turned_away", photo=jpeg(), **said)
        assert answer.status_code == 302
    assert sorted(Fact.objects.values_list("kind", flat=True)) == ["photo", "turned_away"]
    assert FactPhoto.objects.count() == 1


@pytest.mark.parametrize(
    ("kind", "typed", "said"),
    [
        ("turned_away", {}, "Say what is missing, or why, in a few words."),
        ("turned_away", {"missing": ["999"]}, "What is missing: Select a valid choice."),
        ("turned_away", {"why": "w" * 501}, "Why: Ensure this value has at most 500 characters"),
        ("photo", {"caption": "chase"}, "Photo: This field is required."),
        ("note", {"text": " "}, "Note for the office: This field is required."),
        ("checked", {"answer": "not_true"}, "What is wrong?: This field is required."),
        ("checked", {"answer": "we_did_it"}, "Who agreed: This field is required."),
        ("checked", {"answer": "maybe"}, "Answer: expected true, not true or we did it."),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_kept(
    company: Company, day: Day, kind: str, typed: dict[str, Any], said: str
) -> None:
    condition = day.chase.pk if kind == "checked" else None
    answer = post(company, kind, job=day.lot.pk, condition=condition, **typed)
    assert answer.status_code == 400
    assert said in words(answer)
    assert not Fact.objects.exists()


def test_a_picture_that_is_none_is_refused(company: Company, day: Day) -> None:
    spoilt = jpeg()
    spoilt.file.write(b"GIF89a" * 200)  # type: ignore[union-attr]
    spoilt.file.seek(0)  # type: ignore[union-attr]
    answer = post(company, "photo", job=day.lot.pk, photo=spoilt, caption="the open chase")
    assert answer.status_code == 400
    assert "The photo cannot be read" in words(answer)
    assert 'value="the open chase"' in marks(answer)
    assert not Fact.objects.exists()


def test_notes_and_photos_of_a_house_and_of_the_day(company: Company, day: Day) -> None:
    post(company, "note", job=day.lot.pk, text="Dog in the yard")
    assert post(company, "note", job="", text="Truck is low on fuel").url.endswith("#day-note")
    post(company, "photo", job=day.lot.pk, photo=jpeg(), caption="gate")
    page = words(shown(company))
    assert "“Dog in the yard” Cleo" in page
    assert "“Truck is low on fuel” Cleo" in page
    assert "Photo (1 sent)" in page


def test_another_day_s_things_and_other_people_find_nothing(company: Company, day: Day) -> None:
    elsewhere = house_make(company, "Lot 9", {"batt": 60})
    for more in (
        {"kind": "set_out"},
        {"kind": "set_out", "job": elsewhere.pk},
        {"kind": "set_out", "job": "x"},
        {"kind": "slept", "job": day.lot.pk},
        {"kind": "started", "job": day.lot.pk, "step": "batt"},
        {"kind": "started", "job": day.lot.pk},
        {"kind": "checked", "job": day.second.pk, "condition": day.chase.pk, "answer": "true"},
    ):
        assert post(company, **more).status_code == 404
    for user in (company.esme, company.saul, company.lars, company.lena):
        assert post(company, "set_out", user=user, job=day.lot.pk).status_code == 404
    assert not Fact.objects.exists()


def test_an_id_that_is_none_or_another_fact_s_is_refused(company: Company, day: Day) -> None:
    assert post(company, "set_out", id="7", job=day.lot.pk).status_code == 409
    post(company, "set_out", id=(known := str(uuid4())), job=day.lot.pk)
    other = post(company, "set_out", user=company.omar, id=known, job=day.lot.pk)
    assert other.status_code == 409
    assert "That id belongs to another fact." in words(other)
    assert Fact.objects.count() == 1


def test_the_office_says_it_for_a_crew_as_the_office(company: Company, day: Day) -> None:
    post(company, "set_out", user=company.omar, job=day.lot.pk)
    assert Fact.objects.get().who == "Omar"
    assert Event.objects.get(verb="said").source == "office"


def test_who_may_not_tell_reads_the_page_without_forms(company: Company, day: Day) -> None:
    page = marks(shown(company, company.esme))
    assert 'class="fact"' not in page
    assert 'data-person=""' in page
    assert 'class="fact"' in marks(shown(company))


def test_a_form_of_another_page_is_refused(company: Company, day: Day) -> None:
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(company.cleo, backend="django.contrib.auth.backends.ModelBackend")
    data = {"id": str(uuid4()), "kind": "set_out", "job": day.lot.pk}
    assert browser.post(address_of(company), data).status_code == 403


def test_the_day_is_said_by_the_yard_s_clock(company: Company, day: Day) -> None:
    post(company, "set_out", job=day.lot.pk)
    assert "on the way since 7:00 a.m." in words(shown(company)).lower()
    assert Fact.objects.get().happened_at == SEVEN


def test_a_plan_posted_anew_keeps_what_was_said(company: Company, day: Day) -> None:
    post(company, "set_out", job=day.lot.pk)
    old = WeekVersion.objects.get()
    WeekVersion.objects.update(state=WeekVersion.State.REPLACED)
    new = WeekVersion.objects.create(
        week=old.week, state=WeekVersion.State.POSTED, created_at=SEVEN, posted_at=SEVEN
    )
    visit_make(new, company.north, MONDAY, day.second, {"batt": 60})
    visit_make(new, company.north, MONDAY, day.lot, {"air_seal": 120})
    page = marks(shown(company))
    assert f'data-version="{new.pk}"' in page
    assert "We are there: 2. Quarry Lane 1, Lot 1" in main_action(company)


def test_hostile_words_are_only_text(company: Company, day: Day) -> None:
    post(company, "note", job=day.lot.pk, text=HOSTILE)
    post(company, "turned_away", job=day.lot.pk, why=HOSTILE)
    answer = post(company, "turned_away", job=day.second.pk, missing="9", why=HOSTILE)
    assert answer.status_code == 400
    assert inline_faults(answer) == []
    assert inline_faults(shown(company)) == []


def test_statements_do_not_grow_with_what_was_said(company: Company, day: Day) -> None:
    """12 statements at most, whether nothing was said or much."""
    browser = signed_in(company.cleo)
    counts = []
    for number in range(3):
        with statements() as many:
            browser.get(address_of(company))
        counts.append(many())
        for kind in ("set_out", "arrived"):
            post(company, kind, job=day.lot.pk)
        for text in range(3 * number):
            post(company, "note", job=day.lot.pk, text=f"Note {text}")
    assert counts[0] == counts[1] == counts[2]
    assert counts[0] <= 12


def test_figures_are_corrected_by_saying_them_again(
    company: Company, day: Day, clock: time_machine.Traveller
) -> None:
    post(company, "finished", job=day.lot.pk, step="air_seal", **done(60))
    clock.move_to(EIGHT)
    assert "Say it again, with other figures" in words(shown(company))
    post(company, "finished", job=day.lot.pk, step="air_seal", **done(75))
    assert "finished 8:00 a.m., 75 min" in words(shown(company))
    assert Fact.objects.count() == 2


def test_jobs_are_not_changed_by_what_was_said(company: Company, day: Day) -> None:
    """The plan is answered, never changed: the same stops in the same order, whatever was said."""
    before = [stop.job_id for stop in WeekVersion.objects.get().crew_days.get().stops.all()]
    for kind in ("set_out", "arrived", "turned_away"):
        post(company, kind, job=day.second.pk, why="locked")
    after = [stop.job_id for stop in WeekVersion.objects.get().crew_days.get().stops.all()]
    assert after == before
    assert Job.objects.filter(pk=day.second.pk, state="open").exists()
