"""The page of a job: what it says, the moves on it, dates, warnings and the checklist's link."""

import re
from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from contractor.models import Event, User
from jobs.checklists.queries import checklist_link_open
from jobs.models import ChecklistLink, Condition, EstimateWarning, Job
from scheduling.models import WeekVersion
from tests.jobs.estimates.built import built, heavy
from tests.pages import HOSTILE, inline_faults, marks, statements, status_by_role, words
from tests.people import MONDAY, NOW, Company, job_make, signed_in, site_make
from tests.scheduling.houses import version_make, visit_make

pytestmark = pytest.mark.usefixtures("thursday_morning")


def page_of(job: Job) -> str:
    return reverse("job", args=[job.pk])


def chase(job: Job) -> Condition:
    return job.conditions.get(code="chases_capped")


def move(user: User, condition: Condition, to_state: str, **more: str):  # type: ignore[no-untyped-def]
    address = reverse("condition-move", args=[condition.job_id, condition.pk])
    data = {"to_state": to_state, "version": str(condition.version), **more}
    return signed_in(user).post(address, data, follow=True)


def test_who_sees_the_page(company: Company) -> None:
    assert status_by_role(company, page_of(built(company))) == {
        "olive": 200,
        "omar": 200,
        "esme": 200,
        "cleo": 404,
        "saul": 404,
        "lena": 404,
        "lars": 404,
        "nobody": 302,
    }


@pytest.mark.parametrize("number", [0, 424242, 10**25])
def test_a_job_that_is_not_there(company: Company, number: int) -> None:
    assert signed_in(company.omar).get(f"/jobs/{number}/").status_code == 404


def test_spaces_with_measures_and_what_they_make(company: Company) -> None:
    page = words(signed_in(company.omar).get(page_of(built(company))))
    assert "attic attic flat Area 1,500 ft²" in page
    assert "Board 0.625 in Framing 24 in" in page
    assert "1. net" in page
    assert "3. flat blow" in page
    # 1500 ft² x 28/15 lb/ft² = 2800 lb = 112 bags of 25 lb: worked by hand from the chart.
    assert "Weight 2,800 lb · Bags 112" in page
    assert "Labour-hours" in page
    assert "Machine-hours" in page


def test_each_figure_opens_to_formula_numbers_and_source(company: Company) -> None:
    page = words(signed_in(company.omar).get(page_of(built(company))))
    assert "How the figures of attic came about" in page
    assert "2,800 / 25, rounded up once = 112 bags" in page
    assert "the bag's label" in page


def test_bags_are_added_up_and_areas_and_r_values_never_are(company: Company) -> None:
    """16 CFR 460.17: areas and R-values of different parts of a house are not added up."""
    job = built(company)
    bags = {
        step.kind: load["quantity"]
        for step in job.steps.all()
        for load in step.loads
        if load["unit"] == "bags"
    }
    page = words(signed_in(company.omar).get(page_of(job)))
    assert len(bags) == 2
    assert f"cellulose {sum(bags.values())} bags" in page
    whole = page[page.index("The whole job") : page.index("never added up (16 CFR 460.17)")]
    assert "ft²" not in whole
    assert "R-" not in whole.replace("R-values", "")


def test_conditions_say_state_owner_gate_consequence_and_source(company: Company) -> None:
    page = words(signed_in(company.omar).get(page_of(built(company))))
    assert "stop: safety or law" in page
    assert "chases and dropped soffits capped owed owed by builder; holds up" in page
    assert "Fill drops into the chase" in page
    assert "IECC Table R402.4.1.1" in page
    assert "nobody in the office can set it aside" in page


def test_cautions_stand_there_with_the_law_s_last_word(company: Company) -> None:
    page = words(signed_in(company.omar).get(page_of(built(company, year_built=1931))))
    for caution in ("Vermiculite.", "Live knob-and-tube wiring.", "Respirator.", "Attic heat."):
        assert caution in page
    assert "Local code and licensed practice decide." in page


def test_where_it_is_planned_and_posted(company: Company) -> None:
    job = built(company)
    posted = version_make(company, WeekVersion.State.POSTED)
    visit_make(posted, company.north, MONDAY, job, {"net": 60})
    draft = version_make(company, WeekVersion.State.DRAFT)
    visit_make(draft, company.south, date(2027, 3, 3), job, {"flat_blow": 60})
    page = words(signed_in(company.omar).get(page_of(job)))
    assert "Mon Mar 1: net, crew North, week 2027-W09, posted; a draft of that week" in page
    assert "Wed Mar 3: flat blow, crew South, week 2027-W09, draft, seen by the office" in page


def test_a_promise_is_taken_with_its_date_and_stands_in_the_history(company: Company) -> None:
    condition = chase(built(company))
    page = words(move(company.omar, condition, "promised", day="2027-03-02"))
    assert "Saved." in page
    assert "chases and dropped soffits capped promised for Tue Mar 2 (Omar)" in page
    assert "capped moved: state owed → promised; promised for 2027-03-02" in page
    condition.refresh_from_db()
    assert (condition.state, condition.promised_for) == ("promised", date(2027, 3, 2))


def test_office_takes_over_waives_and_sends_back(company: Company) -> None:
    condition = chase(built(company))
    move(company.omar, condition, "taken_over", amount="12", agreed_by="Rosa Reyes")
    condition.refresh_from_db()
    assert condition.state == "taken_over"
    move(company.omar, condition, "owed", reason="The builder does it after all")
    condition.refresh_from_db()
    assert condition.state == "owed"
    move(company.omar, condition, "waived", name="Omar", reason="No chase in this house")
    condition.refresh_from_db()
    assert condition.state == "waived"


@pytest.mark.parametrize(
    ("to_state", "more", "status", "said"),
    [
        ("promised", {}, 409, "A promise needs its date."),
        ("promised", {"day": "2027-02-24"}, 409, "is past: promise today or later"),
        ("promised", {"day": "2927-03-02"}, 400, "Date: 2927-03-02 is too far off"),
        ("promised", {"day": "31/02/27"}, 400, "Date: Enter a valid date."),
        ("waived", {"name": "Omar"}, 409, "and a reason"),
        ("owed", {"reason": "x"}, 409, "cannot become owed"),
        ("purple", {}, 400, "Answer: Select a valid choice"),
        ("waived", {"name": "x" * 900, "reason": "y"}, 400, "Name: Ensure this value"),
    ],
)
def test_a_refused_move_says_why_and_changes_nothing(
    company: Company, to_state: str, more: dict[str, str], status: int, said: str
) -> None:
    condition = chase(built(company))
    before, events = Condition.objects.values().get(pk=condition.pk), Event.objects.count()
    answer = move(company.omar, condition, to_state, **more)
    assert answer.status_code == status
    assert said in words(answer)
    assert "Nothing was changed." in words(answer)
    assert Condition.objects.values().get(pk=condition.pk) == before
    assert Event.objects.count() == events


def test_the_office_cannot_clear_a_stop(company: Company) -> None:
    stop = built(company).conditions.filter(gate="stop", owed_by="electrician").first()
    assert stop
    for user in (company.omar, company.olive):
        answer = move(user, stop, "seen_done")
        assert answer.status_code == 409
        assert "A stop cannot be cleared from the office" in words(answer)
    stop.refresh_from_db()
    assert stop.state == "owed"


def test_of_two_who_answer_at_once_the_second_hears_what_is_true(company: Company) -> None:
    condition = chase(built(company))
    move(company.omar, condition, "promised", day="2027-03-02")
    answer = move(company.olive, condition, "reported_done")
    assert answer.status_code == 409
    assert "somebody was quicker. It is now promised for Tue Mar 2 (Omar)." in words(answer)
    condition.refresh_from_db()
    assert condition.state == "promised"


def test_moves_are_for_who_may_make_them(company: Company) -> None:
    condition = chase(built(company))
    for user in (company.esme, company.lena, company.cleo):
        assert move(user, condition, "taken_over").status_code == 404
    page = words(signed_in(company.esme).get(page_of(condition.job)))
    assert "Why it matters" in page
    assert "We take it over" not in page
    elsewhere = built(company, "Lot 2")
    address = reverse("condition-move", args=[elsewhere.pk, condition.pk])
    assert signed_in(company.omar).post(address, {}).status_code == 404


def test_dates_are_saved(company: Company) -> None:
    job = built(company)
    answer = signed_in(company.esme).post(
        reverse("job-dates", args=[job.pk]),
        {"version": job.version, "ready_date": "2027-03-04", "promised_date": ""},
        follow=True,
    )
    assert "Dates saved." in words(answer)
    job.refresh_from_db()
    assert (job.ready_date, job.promised_date) == (date(2027, 3, 4), None)


@pytest.mark.parametrize(
    ("data", "status", "said"),
    [
        ({"ready_date": "soon"}, 400, "Ready date: Enter a valid date."),
        ({"promised_date": "0027-03-04"}, 400, "Promised date: 0027-03-04 is too far off"),
        ({"version": "99"}, 409, "Somebody changed this job meanwhile."),
        ({"version": ""}, 400, "Version: This field is required."),
    ],
)
def test_wrong_dates_name_the_field_and_change_nothing(
    company: Company, data: dict[str, str], status: int, said: str
) -> None:
    job = built(company)
    given = {"version": job.version, "ready_date": "", "promised_date": "", **data}
    answer = signed_in(company.omar).post(reverse("job-dates", args=[job.pk]), given)
    assert answer.status_code == status
    assert said in words(answer)
    assert Job.objects.get(pk=job.pk).ready_date == MONDAY


def test_a_warning_waits_for_a_name_and_a_reason(company: Company) -> None:
    job = heavy(company)
    warning = EstimateWarning.objects.get(space__job=job, holds=True)
    page = words(signed_in(company.esme).get(page_of(job)))
    assert "The step waits until somebody answers for this." in page
    address = reverse("job-warning", args=[job.pk, warning.pk])
    empty = signed_in(company.esme).post(address, {"answer": " "})
    assert empty.status_code == 400
    assert "Why it is all right: This field is required." in words(empty)
    done = signed_in(company.esme).post(address, {"answer": "The board is 5/8"}, follow=True)
    assert "Esme answers for it since 2027-02-25: “The board is 5/8”" in words(done)
    assert signed_in(company.lena).post(address, {"answer": "x"}).status_code == 404
    second = signed_in(company.omar).post(address, {"answer": "Mine"})
    assert second.status_code == 409
    assert "Esme answered for this already; that answer stands." in words(second)
    warning.refresh_from_db()
    assert warning.answer == "The board is 5/8"


def test_a_checklist_link_is_shown_once_with_its_qr_code(company: Company) -> None:
    job = built(company)
    address = reverse("job-checklist-link", args=[job.pk])
    answer = signed_in(company.omar).post(address)
    page = marks(answer)
    found = re.search(r'value="http://[^"]*/c/([^"/]+)/"', page)
    assert found
    link = checklist_link_open(found[1], NOW)
    assert link
    assert link.superintendent == job.site.superintendent
    assert 'src="data:image/svg+xml' in page
    assert "no-store" in answer.headers["Cache-Control"]
    assert inline_faults(answer) == []
    assert found[1] not in marks(signed_in(company.omar).get(page_of(job)))


def test_who_may_not_send_a_checklist_makes_none(company: Company) -> None:
    address = reverse("job-checklist-link", args=[built(company).pk])
    for user in (company.esme, company.lena, company.cleo):
        assert signed_in(user).post(address).status_code == 404
    assert signed_in(company.omar).get(address).status_code == 405
    assert Client().post(address).status_code == 302
    assert not ChecklistLink.objects.exists()


def test_a_site_without_superintendent_has_nobody_to_send_to(company: Company) -> None:
    job = built(company)
    job.site.superintendent = None
    job.site.save()
    answer = signed_in(company.omar).post(reverse("job-checklist-link", args=[job.pk]))
    assert answer.status_code == 400
    assert "no superintendent yet" in words(answer)


def test_hostile_words_are_only_text(company: Company) -> None:
    job = built(company, site=site_make(company.fairfield, HOSTILE[:100], builder=HOSTILE))
    job.spaces.update(note=HOSTILE)
    job.conditions.update(reason=HOSTILE, moved_by=HOSTILE)
    answer = signed_in(company.omar).get(page_of(job))
    assert inline_faults(answer) == []
    assert "{{ 7|add:7 }}" in words(answer)


def test_statements_do_not_grow_with_spaces_and_history(company: Company) -> None:
    client, small = signed_in(company.omar), built(company)
    with statements() as one:
        client.get(page_of(small))
    few = one()
    large = built(company, "Lot 2")
    for condition in large.conditions.filter(gate="block"):
        move(company.omar, condition, "reported_done")
    with statements() as many:
        client.get(page_of(large))
    assert many() == few
    assert few <= 15


def test_a_job_without_spaces_says_so(company: Company) -> None:
    page = words(signed_in(company.omar).get(page_of(job_make(site_make(company.fairfield)))))
    assert "No space has been measured yet." in page
    assert "measure a space first" in page
