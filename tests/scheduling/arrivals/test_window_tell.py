"""What the office tells of arrivals itself, by mail or telephone; what is refused and kept."""

from typing import Any

import pytest
from pytest_django import Settings

from contractor.events import Actor
from contractor.models import MailAddress, OutboxMail
from contractor.outbox.services.stops import mail_stop
from jobs.models import Job, Superintendent
from scheduling.arrivals.queries.windows import late_window, tellings_of, windows_due
from scheduling.arrivals.services import (
    WindowRefused,
    window_call_off,
    window_rung,
    window_tell,
    windows_write,
)
from scheduling.models import WeekVersion, WindowTold
from tests.people import ACTOR, Company
from tests.scheduling.arrivals.arrivals import (
    MONDAY_LATE,
    TUESDAY,
    TUESDAY_EARLY,
    comes,
    hours,
    old_house,
    subjects,
    told,
    wall,
)
from tests.scheduling.houses import day

pytestmark = pytest.mark.django_db


@pytest.fixture
def house(company: Company) -> Job:
    """Ida Nolan's house, to which North comes first thing on Tuesday."""
    job = old_house(company)
    comes(company, job)
    return job


def omar(company: Company) -> Actor:
    return Actor.of_user(company.omar)


def test_the_office_tells_that_the_day_runs_late_and_no_round_takes_it_back(
    company: Company, house: Job
) -> None:
    windows_write(now=MONDAY_LATE)
    late, now = hours("11:00", "12:30"), wall(TUESDAY, 8, 40)
    done = window_tell(job_id=house.pk, day=TUESDAY, window=late, actor=omar(company), now=now)
    assert [row.to_name for row in done.told] == ["Ida Nolan"]
    assert done.to_ring == ()
    assert subjects()[-1] == (
        "We come at another time: today, Tue Mar 2, between 11:00 a.m. and 12:30 p.m."
    )
    assert windows_write(now=now) == 0
    again = window_tell(job_id=house.pk, day=TUESDAY, window=late, actor=omar(company), now=now)
    assert again.told == ()
    assert again.to_ring == ()
    row = WindowTold.objects.latest("pk")
    assert (row.told_by, row.who, row.number) == (company.omar, "Omar", 2)
    telling = tellings_of([house], TUESDAY)[house.pk]
    assert telling.window == late
    assert telling.to_ring == ()


def test_a_round_that_comes_second_does_not_take_back_what_the_office_told(
    company: Company, house: Job
) -> None:
    now = TUESDAY_EARLY
    (due,) = windows_due(company.fairfield, now)
    late = hours("11:00", "12:30")
    window_tell(job_id=house.pk, day=TUESDAY, window=late, actor=omar(company), now=now)
    assert due.window is not None
    done = window_tell(
        job_id=house.pk, day=TUESDAY, window=due.window, actor=ACTOR, now=now, after=due.after
    )
    assert done.told == ()
    assert told() == ["owner 11:00-12:30"]


def test_superintendent_and_owner_are_both_told(company: Company, house: Job) -> None:
    house.site.superintendent = Superintendent.objects.get(name="Rosa Reyes")
    house.site.save()
    done = window_tell(
        job_id=house.pk,
        day=TUESDAY,
        window=hours("11:00", "12:30"),
        actor=omar(company),
        now=TUESDAY_EARLY,
    )
    assert {row.to for row in done.told} == {"owner", "superintendent"}
    owner, other = OutboxMail.objects.order_by("to_name")
    assert "children and animals" in owner.text
    assert "children and animals" not in other.text


@pytest.mark.parametrize("email", ["", "no address"])
def test_whom_no_mail_reaches_is_to_be_rung(company: Company, email: str) -> None:
    house = old_house(company, email=email)
    comes(company, house)
    assert windows_write(now=MONDAY_LATE) == 0
    asked: dict[str, Any] = {"job_id": house.pk, "day": TUESDAY, "window": hours("11:00", "12:30")}
    done = window_tell(**asked, actor=omar(company), now=TUESDAY_EARLY)
    assert done.told == ()
    assert [(r.name, r.phone) for r in done.to_ring] == [("Ida Nolan", "515-555-0177")]
    window_rung(**asked, to="owner", actor=omar(company), now=TUESDAY_EARLY)
    row = WindowTold.objects.get()
    assert (row.reached, row.mail, row.who) == ("515-555-0177", None, "Omar")
    assert tellings_of([house], TUESDAY)[house.pk].window == hours("11:00", "12:30")
    assert windows_write(now=TUESDAY_EARLY) == 0


def test_who_stopped_mail_or_whose_mail_died_is_to_be_rung(company: Company, house: Job) -> None:
    windows_write(now=MONDAY_LATE)
    OutboxMail.objects.update(state="dead")
    assert [r.name for r in tellings_of([house], TUESDAY)[house.pk].to_ring] == ["Ida Nolan"]
    mail_stop(address_id=MailAddress.objects.get().pk, actor=ACTOR, now=MONDAY_LATE)
    comes(company, house, minutes=60)
    assert windows_write(now=TUESDAY_EARLY) == 0
    done = window_tell(
        job_id=house.pk,
        day=TUESDAY,
        window=hours("11:00", "12:30"),
        actor=omar(company),
        now=TUESDAY_EARLY,
    )
    assert (len(done.told), len(done.to_ring)) == (0, 1)


def test_without_a_mail_server_all_are_to_be_rung(
    company: Company, house: Job, settings: Settings
) -> None:
    settings.MAIL_ENABLED = False
    assert windows_write(now=MONDAY_LATE) == 0
    done = window_tell(
        job_id=house.pk,
        day=TUESDAY,
        window=hours("11:00", "12:30"),
        actor=omar(company),
        now=TUESDAY_EARLY,
    )
    assert (len(done.told), len(done.to_ring)) == (0, 1)
    assert not OutboxMail.objects.exists()


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"day": day(2)}, "No posted week sends a crew to this house on that day."),
        ({"window": hours("11:00", "12:30", day(2))}, "The window is not of that day."),
        ({"window": hours("12:30", "11:00")}, "A window ends after it begins"),
        ({"window": hours("11:00", "11:00")}, "A window ends after it begins"),
        ({"window": hours("07:00", "19:01")}, "within twelve hours"),
        ({"window": hours("05:00", "06:00")}, "The window is over."),
    ],
)
def test_a_window_that_cannot_be_is_refused_and_changes_nothing(
    company: Company, house: Job, changed: dict[str, Any], said: str
) -> None:
    asked = {"day": TUESDAY, "window": hours("11:00", "12:30"), **changed}
    for call in (window_tell, lambda **given: window_rung(to="owner", **given)):
        with pytest.raises(WindowRefused, match=said):
            call(job_id=house.pk, actor=omar(company), now=TUESDAY_EARLY, **asked)
    assert not WindowTold.objects.exists()
    assert not OutboxMail.objects.exists()


def test_nobody_is_rung_where_there_is_no_phone(company: Company, house: Job) -> None:
    Job.objects.update(owner_phone="")
    for to in ("owner", "superintendent"):
        with pytest.raises(WindowRefused, match="nobody to ring"):
            window_rung(
                job_id=house.pk,
                day=TUESDAY,
                window=hours("11:00", "12:30"),
                to=to,
                actor=omar(company),
                now=TUESDAY_EARLY,
            )


def test_nothing_is_called_off_that_was_not_told_or_still_stands(
    company: Company, house: Job
) -> None:
    asked: dict[str, Any] = {"job_id": house.pk, "day": TUESDAY, "to": "owner", "actor": ACTOR}
    assert window_call_off(**asked, now=MONDAY_LATE) == ()
    windows_write(now=MONDAY_LATE)
    assert window_call_off(**asked, now=MONDAY_LATE) == ()
    WeekVersion.objects.update(state="replaced")
    assert window_call_off(**asked, now=MONDAY_LATE, after=0) == ()
    assert len(window_call_off(**asked, now=MONDAY_LATE)) == 1


def test_rows_are_never_changed_and_never_removed(company: Company, house: Job) -> None:
    windows_write(now=MONDAY_LATE)
    row = WindowTold.objects.get()
    with pytest.raises(TypeError):
        row.save()
    with pytest.raises(TypeError):
        row.delete()


def test_a_late_window_begins_no_earlier_than_now(company: Company) -> None:
    # Expected 11:10: 10:40 to 12:40, outward 10:30 to 13:00; at 10:50 it begins at 10:30, at
    # 11:05 at 11:00.
    expected = wall(TUESDAY, 11, 10)
    assert late_window(company.fairfield, expected, wall(TUESDAY, 8)) == hours("10:30", "13:00")
    assert late_window(company.fairfield, expected, wall(TUESDAY, 11, 5)) == hours("11:00", "13:00")
