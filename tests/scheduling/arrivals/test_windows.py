"""When a crew arrives: told the day before, anew where it changes, never twice or at night."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contractor.models import Event, OutboxMail
from contractor.workdays import IsoWeek
from jobs.models import Condition, Job
from scheduling.arrivals.queries.windows import tellings_of, windows_due
from scheduling.arrivals.services import window_tell, windows_write
from scheduling.checklists.mail_round import mail_round
from scheduling.checklists.services.digests import digests_write
from scheduling.models import Fact, WeekVersion, WindowTold
from tests.people import Company
from tests.scheduling.arrivals.arrivals import (
    MONDAY_LATE,
    MONDAY_NIGHT,
    TUESDAY,
    TUESDAY_EARLY,
    comes,
    comes_after,
    old_house,
    subjects,
    told,
    wall,
)
from tests.scheduling.houses import condition_make, day, house_make, version_make, visit_make

pytestmark = pytest.mark.django_db


@pytest.fixture
def house(company: Company) -> Job:
    """Ida Nolan's house, to which North comes first thing on Tuesday."""
    job = old_house(company)
    comes(company, job)
    return job


def text() -> str:
    return OutboxMail.objects.latest("pk").text


def test_the_owner_of_an_old_house_is_told_the_day_before(company: Company, house: Job) -> None:
    Condition.objects.filter(job=house).delete()
    condition_make(house, ["flat_blow"], owed_by="owner")
    condition_make(house, ["flat_blow"], code="B2", owed_by="electrician")
    assert windows_write(now=MONDAY_LATE) == 1
    mail = OutboxMail.objects.get()
    # Yard to house: 17 minutes from 7:00; 30 before is 6:47, but nobody comes before the day
    # starts; 90 after is 8:47, outward to 9:00.
    assert mail.subject == "We come tomorrow, Tue Mar 2, between 7:00 a.m. and 9:00 a.m."
    assert mail.text.splitlines()[:13] == [
        "Ida Nolan, this is when our crew arrives.",
        "",
        "3 Elm Row, 1 Quarry Lane",
        "We come tomorrow, Tue Mar 2, between 7:00 a.m. and 9:00 a.m.",
        "Crew North works there for about 2 h.",
        "",
        "What must be ready:",
        "- chase cover",
        "- the way to the attic, the walls and the crawl space is clear",
        "- children and animals are kept away from the work",
        "",
        "If that does not suit you, or something is not ready, ring the office: 515-555-0100.",
        "",
    ]
    assert "/mail/stop/" in mail.text
    assert (mail.kind, mail.to_name, mail.key) == (
        "window",
        "Ida Nolan",
        f"window:{house.pk}:2027-03-02:owner:1",
    )
    assert mail.expires_at == wall(TUESDAY, 9)


def test_a_long_list_of_what_is_owed_is_cut_short(company: Company, house: Job) -> None:
    Condition.objects.filter(job=house).delete()
    for number in range(11):
        condition_make(house, ["flat_blow"], owed_by="owner", code=f"N{number}")
    windows_write(now=MONDAY_LATE)
    assert text().count("- chase cover") == 8
    assert "- and 3 more on the list" in text()


def test_it_speaks_the_owner_s_language(company: Company) -> None:
    comes(company, old_house(company, language="es"))
    windows_write(now=MONDAY_LATE)
    mail = OutboxMail.objects.get()
    assert mail.subject == "Llegamos mañana, mar 2 de marzo, entre 7:00 a.m. y 9:00 a.m."
    assert "Lo que debe estar listo:" in mail.text
    assert "ring the office" not in mail.text
    assert mail.language == "es"


def test_rounds_tell_once(company: Company, house: Job) -> None:
    assert [windows_write(now=MONDAY_LATE + timedelta(minutes=n)) for n in range(4)] == [1, 0, 0, 0]
    row = WindowTold.objects.get()
    assert (row.to_name, row.reached, row.number) == ("Ida Nolan", "ida@example.com", 1)
    event = Event.objects.get(verb="told")
    assert (event.noun, event.noun_id) == ("job", str(house.pk))
    assert event.what == {"day": "2027-03-02", "arrival": "07:00-09:00", "to": "Ida Nolan"}


def test_the_digest_tells_the_superintendent_and_the_round_not_again(company: Company) -> None:
    lot = house_make(company, "Lot 1", {"flat_blow": 120})
    comes(company, lot)
    done = mail_round(clock=lambda: MONDAY_LATE)
    assert (done.written, done.told) == (1, 0)
    assert told() == ["superintendent 07:00-09:00"]
    assert OutboxMail.objects.get().kind == "digest"
    assert WindowTold.objects.get().mail == OutboxMail.objects.get()


def test_who_had_the_digest_already_hears_of_a_house_that_was_posted_after_it(
    company: Company,
) -> None:
    first, later = (house_make(company, f"Lot {n}", {"flat_blow": 120}) for n in (1, 2))
    version = comes(company, first)
    mail_round(clock=lambda: MONDAY_LATE)
    visit_make(version, company.south, TUESDAY, later, {"flat_blow": 120})
    done = mail_round(clock=lambda: MONDAY_LATE + timedelta(minutes=10))
    assert (done.written, done.told) == (0, 1)
    assert "Quarry Lane 1, Lot 2" in text()


@pytest.mark.parametrize(
    ("now", "count"),
    [
        (wall(day(0), 16, 29), 0),
        (wall(day(0), 16, 30), 1),
        (wall(day(0), 20, 30), 1),
        (wall(day(0), 20, 31), 0),
        (MONDAY_NIGHT, 0),
        (wall(TUESDAY, 5, 59), 0),
        (TUESDAY_EARLY, 1),  # mail was down in the evening: better late than never
        (wall(TUESDAY, 9, 0), 0),  # the window is over
    ],
)
def test_the_day_before_from_the_digests_hour_on_and_never_at_night(
    company: Company, house: Job, now: datetime, count: int
) -> None:
    assert windows_write(now=now) == count


def test_a_posted_week_that_changes_what_was_told_is_told_anew_by_any_hour_of_the_day(
    company: Company, house: Job
) -> None:
    windows_write(now=MONDAY_LATE)
    other = house_make(company, "Lot 7", {"flat_blow": 150})
    comes_after(company, house, other, 150)
    assert windows_write(now=wall(day(0), 23)) == 0
    assert windows_write(now=TUESDAY_EARLY) >= 1
    owner = [line for line in told() if line.startswith("owner")]
    # 7:00 + 17 + 30 + 150 + 17 or less of drive: about 10:30; window 10:00 to 12:00 or so.
    assert len(owner) == 2
    assert owner[0] == "owner 07:00-09:00"
    assert owner[1] > "owner 09:30"
    mail = OutboxMail.objects.get(key__endswith=":owner:2")
    assert mail.subject.startswith("We come at another time: today, Tue Mar 2, between ")
    assert "What we told you before no longer holds." in mail.text
    assert windows_write(now=TUESDAY_EARLY) == 0


def test_a_plan_that_goes_back_and_forth_is_told_each_time(company: Company, house: Job) -> None:
    other = house_make(company, "Lot 7", {"flat_blow": 150}, site="Mill Road 2")
    other.site.superintendent = None
    other.site.save()
    windows_write(now=MONDAY_LATE)
    comes_after(company, house, other, 150)
    windows_write(now=MONDAY_LATE)
    comes(company, house)
    assert windows_write(now=MONDAY_LATE) == 1
    assert [row.number for row in WindowTold.objects.order_by("pk")] == [1, 2, 3]
    assert told()[0] == told()[2] != told()[1]


def test_a_week_posted_again_without_a_change_says_nothing(company: Company, house: Job) -> None:
    windows_write(now=MONDAY_LATE)
    comes(company, house)
    assert windows_write(now=MONDAY_LATE) == 0


def test_who_was_told_hears_that_nobody_comes_and_when_instead(
    company: Company, house: Job
) -> None:
    windows_write(now=MONDAY_LATE)
    comes(company, house, day(3))
    assert windows_write(now=MONDAY_LATE) == 1
    assert subjects()[-1] == "We do not come on Tue Mar 2, as we had told you"
    assert "Now a crew is to come on Thu Mar 4." in text()
    assert told() == ["owner 07:00-09:00", "owner -"]
    assert windows_write(now=MONDAY_LATE) == 0


def test_a_plan_changed_during_the_day_is_told_by_where_the_day_stands(
    company: Company, house: Job
) -> None:
    """At 11:00 North is still at the other house, where it began at 10:50: 150 minutes of work.

    It eats there at 12:00 and leaves at 13:50, so it cannot be at Ida's before; the plan alone
    would say the morning.
    """
    windows_write(now=MONDAY_LATE)
    other = house_make(company, "Lot 7", {"flat_blow": 150}, site="Mill Road 2")
    comes_after(company, house, other, 150)
    at = wall(TUESDAY, 10, 50)
    for number, kind in enumerate(("arrived", "started")):
        Fact.objects.create(
            id=f"00000000-0000-4000-8000-00000000000{number}",
            kind=kind,
            crew=company.north,
            day=TUESDAY,
            job=other,
            step_kind="flat_blow" if kind == "started" else "",
            tapped_at=at,
            happened_at=at,
            received_at=at,
            who="Cleo",
        )
    assert windows_write(now=wall(TUESDAY, 11)) == 1
    row = WindowTold.objects.filter(to="owner").latest("pk")
    assert row.from_at is not None
    assert row.to_at is not None
    assert row.from_at <= wall(TUESDAY, 13, 55) <= row.to_at
    assert row.from_at >= wall(TUESDAY, 13)
    assert row.planned_to_at is not None
    assert row.planned_to_at < row.from_at
    assert windows_write(now=wall(TUESDAY, 11, 30)) == 0


def test_a_house_that_is_finished_or_reached_is_left_alone(company: Company, house: Job) -> None:
    windows_write(now=MONDAY_LATE)
    WeekVersion.objects.update(state="replaced")
    Job.objects.filter(pk=house.pk).update(state="finished")
    assert windows_write(now=MONDAY_LATE) == 0
    Job.objects.filter(pk=house.pk).update(state="open")
    Fact.objects.create(
        id="00000000-0000-4000-8000-000000000001",
        kind="arrived",
        crew=company.north,
        day=TUESDAY,
        job=house,
        tapped_at=TUESDAY_EARLY,
        happened_at=TUESDAY_EARLY,
        received_at=TUESDAY_EARLY,
        who="Cleo",
    )
    assert windows_write(now=TUESDAY_EARLY) == 0
    assert len(told()) == 1


def test_one_house_that_fails_keeps_back_no_other(
    company: Company, house: Job, monkeypatch: pytest.MonkeyPatch
) -> None:
    second = house_make(company, "b", {"flat_blow": 60}, site="5 Elm Row")
    Job.objects.filter(pk=second.pk).update(owner_name="Al", owner_email="al@example.com")
    visit_make(WeekVersion.objects.get(state="posted"), company.south, TUESDAY, second,
               {"flat_blow": 60})  # fmt: skip
    real = window_tell

    def breaks(**given: Any) -> Any:
        if given["job_id"] == house.pk:
            raise RuntimeError("broken")
        return real(**given)

    monkeypatch.setattr("scheduling.arrivals.services.window_tell", breaks)
    digests_write(now=MONDAY_LATE)
    assert windows_write(now=MONDAY_LATE) == 1
    assert "Al, this is when our crew arrives." in text()


def test_a_hostile_owner_writes_no_line_of_its_own(company: Company, house: Job) -> None:
    Job.objects.update(owner_name="Eve\r\nBcc: x@example.org\r\n\r\nhttps://evil.example/")
    windows_write(now=MONDAY_LATE)
    assert not [ln for ln in text().splitlines() if ln.startswith(("Bcc", "https://evil"))]


def test_statements_do_not_grow_with_houses(company: Company, house: Job) -> None:
    def count() -> tuple[int, int]:
        jobs = list(Job.objects.select_related("site__superintendent"))
        with CaptureQueriesContext(connection) as due:
            windows_due(company.fairfield, MONDAY_LATE)
        with CaptureQueriesContext(connection) as page:
            tellings_of(jobs, TUESDAY)
        return len(due), len(page)

    before = count()
    version = WeekVersion.objects.get()
    for number in range(4):
        job = house_make(company, f"Lot {number}", {"batt": 30}, site=f"Site {number}")
        visit_make(version, company.south, TUESDAY, job, {"batt": 30})
    assert count() == before
    assert before[0] <= 8
    assert before[1] == 2


def test_the_window_is_that_of_the_wall_when_the_clocks_change(company: Company) -> None:
    """Clocks go forward on 14 March 2027 (15 U.S.C. 260a): Monday the 15th starts at 7:00 too."""
    house = old_house(company)
    day_after = day(14)
    version = version_make(company, WeekVersion.State.POSTED, IsoWeek.of(day_after))
    visit_make(version, company.north, day_after, house, {"flat_blow": 120})
    assert windows_write(now=wall(day(11), 16, 45)) == 1  # the Friday before
    assert subjects() == ["We come on Mon Mar 15, between 7:00 a.m. and 9:00 a.m."]
    assert WindowTold.objects.get().from_at == wall(day_after, 7)


@pytest.mark.parametrize(
    ("address", "unit", "line"),
    [
        ("3 Elm Row, Cedar Ford", "", "3 Elm Row, Cedar Ford"),
        ("3 Elm Row, Cedar Ford", "Unit 2", "3 Elm Row, Cedar Ford, Unit 2"),
        ("14 Quarry Lane", "Unit 2", "3 Elm Row, Unit 2, 14 Quarry Lane"),
        ("", "", "3 Elm Row"),
    ],
)
def test_a_house_is_named_once(
    company: Company, house: Job, address: str, unit: str, line: str
) -> None:
    type(house.site).objects.update(address=address)
    Job.objects.filter(pk=house.pk).update(unit=unit)
    windows_write(now=MONDAY_LATE)
    assert text().splitlines()[2] == line
