"""The evening before: each crew of tomorrow with what it hangs on, and what answers make of it."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from contractor.models import Event, Holiday
from contractor.workdays import IsoWeek
from jobs.models import CallAttempt, Condition, Job
from jobs.wording import dollars
from scheduling.arrivals.queries.clock import visits_on
from scheduling.arrivals.services import window_rung
from scheduling.checklists.mail_round import mail_round
from scheduling.evening.queries import evening_confirmation
from scheduling.gather.gathered import gather
from scheduling.models import PlanningRun, WeekVersion
from tests.pages import HOSTILE, inline_faults, marks, statements, status_by_role, words
from tests.people import ACTOR, MONDAY, NOW, Company, signed_in
from tests.scheduling.houses import condition_make, house_make, version_make, visit_make

pytestmark = pytest.mark.django_db
PAGE = reverse("evening")
DRAFT, POSTED = WeekVersion.State.DRAFT, WeekVersion.State.POSTED
FRIDAY = date(2027, 2, 26)
# Friday afternoon at Fairfield yard, 16:30 in Chicago: the next working day is Monday.
EVENING = datetime(2027, 2, 26, 22, 30, tzinfo=UTC)
WORK = {"batt": 120}


@pytest.fixture(autouse=True)
def _evening(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: EVENING)


def house(company: Company, unit: str = "Lot 1", *, asked: bool = True) -> Job:
    """A house for Monday, whose chase nobody has promised."""
    job = house_make(company, unit, WORK, ready_date=None)
    if asked:
        condition_make(job, ["batt"], code="chases_capped")
    return job


def read(company: Company, query: str = "") -> str:
    return words(signed_in(company.omar).get(f"{PAGE}{query}"))


def answer(company: Company, job: Job, said: str, **more: str) -> Any:
    row = job.conditions.get()
    data = {"item": f"{row.pk}:{row.version}", "answer": said, **more}
    return signed_in(company.omar).post(PAGE, data, follow=True)


def test_who_sees_it(company: Company) -> None:
    assert status_by_role(company, PAGE) == {
        "olive": 200,
        "omar": 200,
        "esme": 200,
        "cleo": 404,
        "saul": 404,
        "lena": 200,
        "lars": 404,
        "nobody": 302,
    }


def test_each_crew_of_tomorrow_with_what_it_hangs_on(company: Company) -> None:
    posted = version_make(company, POSTED)
    visit_make(posted, company.north, MONDAY, house(company, "Lot 1"), WORK)
    visit_make(posted, company.south, MONDAY, house(company, "Lot 2", asked=False), WORK)
    page = read(company)
    assert "What Mon Mar 1 hangs on, Fairfield yard" in page
    assert "1 thing to ask for." in page
    north, south = page.index("North"), page.index("South")
    assert north < page.index("Too unlikely to send a crew.") < south
    assert south < page.index("Nothing open: the crew can go.")
    assert "Ask: “chase cover”, is it done, or by which day? If not:" in page
    assert "It is early" not in page


def test_crews_go_by_what_is_posted_whatever_is_drafted_meanwhile(company: Company) -> None:
    posted, draft = version_make(company, POSTED), version_make(company, DRAFT)
    visit_make(posted, company.north, MONDAY, house(company, "Lot 1"), WORK)
    visit_make(draft, company.north, MONDAY, house(company, "Lot 2"), WORK)
    page = read(company)
    assert "Lot 1" in page
    assert "Lot 2" not in page


def test_a_week_that_is_not_posted_is_told_as_a_draft(company: Company) -> None:
    visit_make(version_make(company, DRAFT), company.north, MONDAY, house(company), WORK)
    assert "North (draft)" in read(company)


def test_a_house_that_the_crew_is_in_already_is_asked_nothing(company: Company) -> None:
    job = house(company)
    posted = version_make(company, POSTED)
    visit_make(version_make(company, POSTED, IsoWeek(2027, 8)), company.north, FRIDAY, job, WORK)
    visit_make(posted, company.north, MONDAY, job, WORK)
    page = read(company)
    assert "The crew goes on here: it has been let in." in page
    assert "0 things to ask for." in page


@pytest.mark.parametrize(
    ("now", "closed", "day", "is_time"),
    [
        # Central time is UTC-6 in winter: 20:59 is 14:59, 21:00 is 15:00; Thursday leads to Friday.
        ("2027-02-25T20:59+00:00", None, FRIDAY, False),
        ("2027-02-25T21:00+00:00", None, FRIDAY, True),
        # Past midnight in Greenwich it is still Thursday evening in Chicago.
        ("2027-02-26T04:00+00:00", None, FRIDAY, True),
        ("2027-02-25T21:00+00:00", FRIDAY, MONDAY, True),
        # Clocks go forward on 2027-03-14: on the Friday before 15:00 is 21:00 UTC, on Monday 20:00.
        ("2027-03-12T20:30+00:00", None, date(2027, 3, 15), False),
        ("2027-03-15T20:30+00:00", None, date(2027, 3, 16), True),
        # They go back on 2027-11-07.
        ("2027-11-05T20:30+00:00", None, date(2027, 11, 8), True),
        ("2027-11-08T20:30+00:00", None, date(2027, 11, 9), False),
    ],
)
def test_tomorrow_and_late_afternoon_are_those_of_the_yard(
    company: Company, now: str, closed: date | None, day: date, is_time: bool
) -> None:
    if closed:
        Holiday.objects.create(branch=company.fairfield, date=closed, name="yard closed")
    found = evening_confirmation(branch=company.fairfield, now=datetime.fromisoformat(now))
    assert (found.day, found.is_time) == (day, is_time)


def test_another_yard_has_its_own_afternoon(company: Company) -> None:
    company.lowton.time_zone = "America/Los_Angeles"
    moment = datetime(2027, 2, 25, 22, 0, tzinfo=UTC)  # 16:00 in Chicago, 14:00 in Los Angeles
    assert evening_confirmation(branch=company.fairfield, now=moment).is_time
    assert not evening_confirmation(branch=company.lowton, now=moment).is_time


def test_it_says_that_it_is_early(company: Company, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    assert "It is early: superintendents are asked from 15:00 on" in read(company)


def test_the_cost_is_the_planner_s(company: Company) -> None:
    job = house(company)
    visit_make(version_make(company, POSTED), company.north, MONDAY, job, WORK)
    found = evening_confirmation(branch=company.fairfield, now=EVENING)
    Condition.objects.update(state="seen_done")  # or the planner would leave the job off
    gathered = gather(
        branch=company.fairfield, first=IsoWeek(2027, 9), weeks=1, today=date(2027, 2, 26)
    )
    step = next(step for one in gathered.problem.jobs for step in one.steps)
    assert found.at_risk_cents == step.turned_away > 0


def test_an_answer_prices_the_day_anew_and_the_page_keeps_both(company: Company) -> None:
    job = house(company)
    visit_make(version_make(company, POSTED), company.north, MONDAY, job, WORK)
    before = evening_confirmation(branch=company.fairfield, now=EVENING)
    page = words(answer(company, job, "done"))
    after = evening_confirmation(branch=company.fairfield, now=EVENING)
    assert after.at_risk_cents < before.at_risk_cents
    told = f"{dollars(before.at_risk_cents)} at risk before, {dollars(after.at_risk_cents)} now"
    assert page.count(told) == 2  # in the message, and with the crew from then on
    assert "Fri Feb 26, 16:30, Omar:" in page
    assert f"North: {told}; chance ready 0 % before," in page
    assert "0 things to ask for." in page
    event = Event.objects.get(noun="crewday")
    assert event.verb == "re-priced"
    assert event.what["cents"] == [before.at_risk_cents, after.at_risk_cents]
    assert CallAttempt.objects.get().outcome == "answered"


def test_a_day_made_too_unlikely_can_be_planned_again(company: Company) -> None:
    job = house(company)
    row = job.conditions.get()
    Condition.objects.filter(pk=row.pk).update(state="promised", promised_for=MONDAY)
    visit_make(version_make(company, POSTED), company.north, MONDAY, job, WORK)
    assert "Plan again without it" not in read(company)
    response = answer(company, job, "on", day="2027-03-03")
    page = words(response)
    assert "chance ready" in page
    assert "Too unlikely to send a crew." in page
    assert "Plan again without it" in page
    data = {"weeks": "2", "seconds": "20"}
    address = f"{reverse('week-plan', args=['2027-W09'])}?branch={company.fairfield.pk}"
    assert f'action="{address}"' in marks(response)
    answered = signed_in(company.omar).post(address, data)
    assert answered.status_code == 302
    run = PlanningRun.objects.get()
    assert (run.verdict, run.first_monday) == ("open", MONDAY)


def test_no_answer_and_second_comers_are_told(company: Company) -> None:
    job = house(company)
    visit_make(version_make(company, POSTED), company.north, MONDAY, job, WORK)
    data = {"house": job.pk, "answer": "no_answer", "seen": 0}
    page = signed_in(company.olive).post(PAGE, data, follow=True)
    assert "No answer, last Fri Feb 26, 16:30 (Olive)." in words(page)
    again = signed_in(company.omar).post(PAGE, data)
    assert again.status_code == 409
    row = job.conditions.get()
    answer(company, job, "done")
    data = {"item": f"{row.pk}:{row.version}", "answer": "done"}
    stale = signed_in(company.omar).post(PAGE, data)
    assert stale.status_code == 409
    assert "somebody was quicker" in words(stale)
    assert Event.objects.filter(verb="re-priced").count() == 1


def test_who_may_not_answer_does_not(company: Company) -> None:
    job = house(company)
    visit_make(version_make(company, POSTED), company.north, MONDAY, job, WORK)
    row = job.conditions.get()
    data = {"item": f"{row.pk}:{row.version}", "answer": "done"}
    for user in (company.esme, company.lena, company.cleo):
        assert signed_in(user).post(PAGE, data).status_code == 404
    esme = words(signed_in(company.esme).get(PAGE))
    assert "Lot 1" in esme
    assert "They say it is done" not in esme
    assert "Plan again" not in esme
    assert Condition.objects.get().state == "owed"


def test_statements_do_not_grow_with_crews_and_houses(company: Company) -> None:
    posted = version_make(company, POSTED)
    client = signed_in(company.omar)
    visit_make(posted, company.north, MONDAY, house(company, "Lot 1"), WORK)
    with statements() as one:
        client.get(PAGE)
    few = one()
    for n in range(2, 6):
        crew = company.north if n % 2 else company.south
        job = house_make(company, f"Lot {n}", WORK, site=f"Lane {n}", ready_date=None)
        condition_make(job, ["batt"])
        visit_make(posted, crew, MONDAY, job, WORK)
        visit_make(posted, crew, MONDAY + timedelta(days=n), job, WORK)
    with statements() as many:
        client.get(PAGE)
    assert many() == few
    assert few <= 38


def test_it_says_when_the_crew_arrives_who_was_told_and_whom_to_ring(company: Company) -> None:
    job = house(company)
    Job.objects.update(owner_name="Ida Nolan", owner_phone="515-555-0177")
    visit_make(version_make(company, POSTED), company.north, MONDAY, job, WORK)
    before = read(company)
    assert "The crew arrives between 7:00 a.m. and 9:00 a.m." in before
    assert "was told" not in before
    assert "No mail reaches Ida Nolan: ring. 515-555-0177" in before
    mail_round(clock=lambda: EVENING)
    after = read(company)
    assert "Rosa Reyes was told between 7:00 a.m. and 9:00 a.m. (" in after
    window = visits_on([job.pk], MONDAY)[job.pk].window
    window_rung(job_id=job.pk, day=MONDAY, window=window, to="owner", actor=ACTOR, now=EVENING)
    rung = read(company)
    assert "Ida Nolan was told between 7:00 a.m. and 9:00 a.m. (" in rung
    assert "No mail reaches" not in rung


def test_a_week_that_is_not_posted_promises_no_arrival(company: Company) -> None:
    visit_make(version_make(company, DRAFT), company.north, MONDAY, house(company), WORK)
    page = read(company)
    assert "Lot 1" in page
    assert "The crew arrives" not in page


def test_hostile_words_are_only_text(company: Company) -> None:
    job = house(company)
    visit_make(version_make(company, POSTED), company.north, MONDAY, job, WORK)
    job.conditions.update(reason=HOSTILE, name=HOSTILE[:100])
    assert inline_faults(signed_in(company.omar).get(PAGE)) == []
