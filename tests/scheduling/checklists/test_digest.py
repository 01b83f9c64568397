"""The daily digest: when it is written, what it says, once a person and day, few links open."""

import re
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries, Settings

from contractor.models import Branch, Holiday, OutboxMail
from contractor.outbox.seal import seal_open
from contractor.outbox.services.send import outbox_send
from contractor.outbox.services.stops import mail_stop
from jobs.models import ChecklistLink, Condition, Digest, DigestLink, Job, Superintendent
from scheduling.checklists.queries.digest import _is_time, digest_content
from scheduling.checklists.services.digests import digest_write, digests_write
from scheduling.models import CrewDay, WeekVersion
from tests.contractor.outbox.letters import mail_server
from tests.people import ACTOR, Company, job_make, site_make
from tests.scheduling.houses import (
    condition_make,
    day,
    house_make,
    version_make,
    visit_make,
    work_make,
)

pytestmark = pytest.mark.django_db
CHICAGO = ZoneInfo("America/Chicago")


def wall(on: date, hour: int, minute: int, zone: ZoneInfo = CHICAGO) -> datetime:
    """The moment at which the clock on the wall shows this."""
    return datetime(on.year, on.month, on.day, hour, minute, tzinfo=zone).astimezone(UTC)


MONDAY_LATE = wall(day(0), 16, 45)
TUESDAY_LATE = wall(day(1), 16, 45)
WEDNESDAY_LATE = wall(day(2), 16, 45)


@pytest.fixture
def lot(company: Company) -> Job:
    """A house to which a crew comes on Tuesday by a posted week, and which owes a chase cover."""
    lot = house_make(company, "Lot 1", {"flat_blow": 100})
    condition_make(lot, ["flat_blow"])
    posted = version_make(company, WeekVersion.State.POSTED)
    visit_make(posted, company.north, day(1), lot, {"flat_blow": 100})
    return lot


def rosa() -> Superintendent:
    return Superintendent.objects.get(name="Rosa Reyes")


def text() -> str:
    return OutboxMail.objects.latest("pk").text


def test_it_says_what_tomorrow_hangs_on(lot: Job) -> None:
    assert digests_write(now=MONDAY_LATE) == 1
    mail = OutboxMail.objects.get()
    assert mail.subject == "Tue Mar 2 hangs on 1 open thing"
    assert mail.text.splitlines()[:6] == [
        "Rosa Reyes, this is open at your houses.",
        "",
        "A crew comes tomorrow, Tue Mar 2. It hangs on this:",
        "",
        "Quarry Lane 1, Lot 1: between 7:00 a.m. and 9:00 a.m.",
        "- chase cover",
    ]
    assert (mail.kind, mail.branch, mail.key) == (
        "digest",
        lot.site.branch,
        f"digest:{rosa().pk}:2027-03-01",
    )


def test_a_draft_is_nothing_to_builders(company: Company) -> None:
    lot = house_make(company, "Lot 1", {"flat_blow": 100}, ready_date=None)
    condition_make(lot, ["flat_blow"])
    draft = version_make(company, WeekVersion.State.DRAFT)
    visit_make(draft, company.north, day(1), lot, {"flat_blow": 100})
    digests_write(now=MONDAY_LATE)
    assert "crew comes" not in text()
    assert "Newly owed:" in text()


def test_before_a_weekend_it_names_the_next_working_day(company: Company) -> None:
    lot = house_make(company, "Lot 1", {"flat_blow": 100})
    condition_make(lot, ["flat_blow"])
    visit_make(
        version_make(company, WeekVersion.State.POSTED), company.north, day(0), lot,
        {"flat_blow": 100},
    )  # fmt: skip
    assert digests_write(now=wall(day(-3), 16, 45)) == 1  # the Friday before
    assert "A crew comes on Mon Mar 1. It hangs on this:" in text()


def test_the_same_day_writes_no_second_one_whoever_asks(lot: Job) -> None:
    assert digests_write(now=MONDAY_LATE) == 1
    assert digests_write(now=MONDAY_LATE + timedelta(minutes=5)) == 0
    assert digest_write(superintendent_id=rosa().pk, now=MONDAY_LATE) is None
    assert (OutboxMail.objects.count(), Digest.objects.count(), ChecklistLink.objects.count()) == (
        1,
        1,
        1,
    )


@pytest.mark.parametrize(
    ("hour", "minute", "written"),
    [(16, 29, 0), (16, 30, 1), (20, 29, 1), (20, 30, 0), (23, 59, 0), (0, 0, 0), (9, 0, 0)],
)
def test_it_is_written_late_in_the_afternoon_and_not_at_night(
    lot: Job, hour: int, minute: int, written: int
) -> None:
    assert digests_write(now=wall(day(0), hour, minute)) == written


def test_the_hour_is_a_setting(lot: Job, settings: Settings) -> None:
    settings.DIGEST_AT = datetime(2027, 1, 1, 15, 0, tzinfo=UTC).time()
    assert digests_write(now=wall(day(0), 15, 0)) == 1


def test_the_zone_is_the_site_s(company: Company, lot: Job) -> None:
    Branch.objects.filter(pk=company.fairfield.pk).update(time_zone="America/Los_Angeles")
    assert digests_write(now=MONDAY_LATE) == 0
    assert digests_write(now=wall(day(0), 16, 30, ZoneInfo("America/Los_Angeles"))) == 1


# Every zone of the fifty states that differs in its clock changes.
ZONES = (
    "America/New_York",
    "America/Chicago",
    "America/Denver",
    "America/Phoenix",
    "America/Los_Angeles",
    "America/Anchorage",
    "America/Adak",
    "Pacific/Honolulu",
)


@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize("change", [date(2027, 3, 14), date(2027, 11, 7)])
def test_around_a_clock_change_every_day_has_one_half_past_four(zone: str, change: date) -> None:
    """Both changes of 2027 by 15 U.S.C. 260a: second Sunday of March, first Sunday of November."""
    branch = Branch(time_zone=zone)
    there = ZoneInfo(zone)
    for distance in range(-2, 3):
        on = change + timedelta(days=distance)
        start = datetime(on.year, on.month, on.day, tzinfo=there).astimezone(UTC)
        minutes = [start + timedelta(minutes=5 * step) for step in range(12 * 25)]
        due = [at for at in minutes if _is_time(branch, at) and at.astimezone(there).date() == on]
        assert due[0].astimezone(there).strftime("%H:%M") == "16:30"
        assert len(due) == 48  # four hours of five minutes, on every such day


@given(st.datetimes(min_value=datetime(2026, 1, 1), max_value=datetime(2028, 1, 1)))  # noqa: DTZ001
def test_at_no_moment_is_mail_written_at_night(moment: datetime) -> None:
    branch = Branch(time_zone="America/Denver")
    at = moment.replace(tzinfo=UTC)
    hour = at.astimezone(ZoneInfo("America/Denver")).hour
    assert not _is_time(branch, at) or 16 <= hour <= 20


def test_no_digest_on_a_day_off(company: Company, lot: Job) -> None:
    assert digests_write(now=wall(day(-1), 16, 45)) == 0  # a Sunday
    Holiday.objects.create(branch=company.fairfield, date=day(0), name="closed")
    assert digests_write(now=MONDAY_LATE) == 0


def test_a_crew_of_tomorrow_is_told_where_nothing_is_open(company: Company, lot: Job) -> None:
    Condition.objects.update(state="reported_done")
    assert digests_write(now=MONDAY_LATE) == 1
    mail = OutboxMail.objects.get()
    assert mail.subject == "A crew comes on Tue Mar 2"
    assert mail.text.splitlines()[:5] == [
        "Rosa Reyes, we come.",
        "",
        "A crew comes tomorrow, Tue Mar 2. Nothing is open there:",
        "",
        "Quarry Lane 1, Lot 1: between 7:00 a.m. and 9:00 a.m.",
    ]


def test_nothing_to_say_is_no_mail(lot: Job) -> None:
    CrewDay.objects.all().delete()
    Condition.objects.update(state="reported_done")
    assert digests_write(now=MONDAY_LATE) == 0
    Condition.objects.update(state="owed", owed_by="us")
    assert digests_write(now=MONDAY_LATE) == 0
    Condition.objects.update(owed_by="builder", needed=False)
    assert digests_write(now=MONDAY_LATE) == 0
    assert (OutboxMail.objects.count(), ChecklistLink.objects.count()) == (0, 0)


def test_new_is_what_the_last_digest_did_not_know(company: Company) -> None:
    lot = house_make(company, "Lot 9", {"flat_blow": 100}, ready_date=day(60))
    condition_make(lot, ["flat_blow"])
    assert digests_write(now=MONDAY_LATE) == 1
    assert "Newly owed:\n\nQuarry Lane 1, Lot 9, by Fri Apr 30\n- chase cover" in text()
    assert digests_write(now=TUESDAY_LATE) == 0
    Condition.objects.create(
        job=lot, code="B2", name="ceiling board", owed_by="builder", gate="block",
        holds=["flat_blow"],
    )  # fmt: skip
    assert digests_write(now=WEDNESDAY_LATE) == 1
    assert "- ceiling board" in text()
    assert "chase cover" not in text()


def test_what_went_back_to_owed_is_new_again(company: Company) -> None:
    lot = house_make(company, "Lot 9", {"flat_blow": 100}, ready_date=day(60))
    cover = condition_make(lot, ["flat_blow"])
    digests_write(now=MONDAY_LATE)
    Condition.objects.filter(pk=cover.pk).update(state="reported_done")
    Condition.objects.create(
        job=lot, code="B2", name="ceiling board", owed_by="builder", gate="block",
        holds=["flat_blow"],
    )  # fmt: skip
    digests_write(now=TUESDAY_LATE)
    Condition.objects.filter(pk=cover.pk).update(state="owed")
    assert digests_write(now=WEDNESDAY_LATE) == 1
    assert "- chase cover" in text()


def test_a_digest_that_died_told_nobody(company: Company) -> None:
    lot = house_make(company, "Lot 9", {"flat_blow": 100}, ready_date=day(60))
    condition_make(lot, ["flat_blow"])
    digests_write(now=MONDAY_LATE)
    OutboxMail.objects.update(state="dead")
    assert digests_write(now=TUESDAY_LATE) == 1
    assert "- chase cover" in text()


@pytest.mark.parametrize(
    ("ready", "promised", "told"),
    [
        (day(5), None, True),
        (day(7), None, True),
        (day(8), None, False),
        (day(5), day(4), False),  # promised in time
        (day(5), day(6), True),  # promised too late
        (day(5), day(-4), True),  # a promise that was not kept
        (day(-2), None, True),  # overdue
        (None, None, False),
    ],
)
def test_soon_is_within_a_week_and_not_promised_in_time(
    company: Company, ready: date | None, promised: date | None, told: bool
) -> None:
    lot = house_make(company, "Lot 9", {"flat_blow": 100}, ready_date=ready)
    state = "promised" if promised else "owed"
    condition_make(lot, ["flat_blow"], state=state, promised_for=promised)
    found = digest_content(rosa(), MONDAY_LATE)
    assert bool(found and found.branches[0].soon) is told


def test_it_is_over_all_houses_of_the_person_and_nobody_else(company: Company, lot: Job) -> None:
    other = house_make(company, "Lot 2", {"flat_blow": 100}, site="Mill Road 5", ready_date=day(3))
    condition_make(other, ["flat_blow"])
    site = site_make(company.fairfield, "Elsewhere 7", superintendent="Sven Strand")
    foreign = job_make(site)
    work_make(foreign, {"flat_blow": 100})
    condition_make(foreign, ["flat_blow"])
    Superintendent.objects.filter(name="Sven Strand").update(email="sven@hazel.example")
    assert digests_write(now=MONDAY_LATE) == 2
    mine = OutboxMail.objects.get(to_name="Rosa Reyes").text
    assert "Mill Road 5, Lot 2, by Thu Mar 4" in mine
    assert "Elsewhere" not in mine
    assert "Elsewhere 7" in OutboxMail.objects.get(to_name="Sven Strand").text


def test_houses_of_two_branches_are_one_mail_with_a_link_each(company: Company, lot: Job) -> None:
    site = site_make(company.lowton, "Lowton Way 2")
    other = job_make(site, ready_date=day(3))
    condition_make(other, ["flat_blow"])
    lot_2 = house_make(company, "Lot 2", {"flat_blow": 100}, ready_date=day(60))
    condition_make(lot_2, ["flat_blow"])
    assert digests_write(now=MONDAY_LATE) == 1
    mail = OutboxMail.objects.get()
    assert (mail.branch, mail.spans_branches) == (company.fairfield, True)
    assert {link.branch for link in ChecklistLink.objects.all()} == {
        company.fairfield,
        company.lowton,
    }
    assert "== Lowton yard ==" in mail.text


def test_the_mailed_link_opens_the_list_and_no_table_holds_it(
    company: Company, lot: Job, settings: Settings, client: Client
) -> None:
    digests_write(now=MONDAY_LATE)
    with mail_server(settings) as receiver:
        assert outbox_send(clock=lambda: MONDAY_LATE) == 1
    body = receiver.mails[0].get_body(("plain",)).get_content()  # type: ignore[union-attr]
    (secret,) = re.findall(r"/c/([\w-]{43})/", body)
    link = ChecklistLink.objects.get()
    assert secret not in repr(list(OutboxMail.objects.values())) + repr(
        list(DigestLink.objects.values())
    )
    stored = re.findall(r"/c/([\w-]{43})/", OutboxMail.objects.get().text)
    assert seal_open(stored[0]) == secret
    ChecklistLink.objects.filter(pk=link.pk).update(
        expires_at=datetime(2100, 1, 1, tzinfo=UTC)
    )  # the page goes by today's clock
    assert client.get(f"/c/{secret}/").status_code == 200
    assert client.get(f"/c/{stored[0]}/").status_code == 404


def test_of_many_digests_two_have_links_that_open(company: Company, lot: Job) -> None:
    for number in range(5):
        condition_make(lot, ["flat_blow"], code=f"N{number}")
        day_late = wall(day(number), 16, 45)
        assert digests_write(now=day_late) == 1
    alive = ChecklistLink.objects.alive(day_late)
    assert (alive.count(), ChecklistLink.objects.count()) == (2, 5)


def test_who_stopped_mail_gets_no_digest_and_no_link(lot: Job) -> None:
    digests_write(now=MONDAY_LATE)
    mail_stop(address_id=OutboxMail.objects.get().address_id, actor=ACTOR, now=MONDAY_LATE)
    assert digests_write(now=TUESDAY_LATE - timedelta(days=0)) == 0
    assert ChecklistLink.objects.count() == 1


@pytest.mark.parametrize("email", ["", "not an address"])
def test_who_has_no_address_keeps_back_nobody(company: Company, lot: Job, email: str) -> None:
    site = site_make(company.fairfield, "Elsewhere 7", superintendent="Aaron Ash")
    condition_make(job_make(site), ["flat_blow"])
    Superintendent.objects.filter(name="Aaron Ash").update(email=email)
    assert digests_write(now=MONDAY_LATE) == 1


def test_it_speaks_spanish(lot: Job) -> None:
    Superintendent.objects.update(language="es")
    Condition.objects.update(state="promised", promised_for=day(4))
    digests_write(now=MONDAY_LATE)
    mail = OutboxMail.objects.get()
    assert mail.subject == "mar 2 de marzo: depende de 1 cosa pendiente"
    assert "mar 2 de marzo" in mail.text
    assert "vie 5 de marzo" in mail.text
    assert "A crew" not in mail.text
    assert "No more mail" not in mail.text


def test_a_hostile_builder_writes_no_line_of_its_own(company: Company, lot: Job) -> None:
    Superintendent.objects.update(name="Eve\r\nBcc: x@example.org\r\n\r\nhttps://evil.example/")
    lot.site.name = "Lane\n\nPay here"
    lot.site.save()
    assert digests_write(now=MONDAY_LATE) == 1
    lines = text().splitlines()
    assert not [line for line in lines if line.startswith(("Bcc", "https://evil", "Pay here"))]


def test_what_a_mail_says_of_tomorrow_is_not_sent_tomorrow(lot: Job) -> None:
    digests_write(now=MONDAY_LATE)
    assert OutboxMail.objects.get().expires_at == datetime(2027, 3, 2, 6, 0, tzinfo=UTC)


def test_without_a_mail_server_none_is_written(lot: Job, settings: Settings) -> None:
    settings.MAIL_ENABLED = False
    assert digests_write(now=MONDAY_LATE) == 0


def test_queries_do_not_grow_with_houses(
    company: Company,
    lot: Job,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    with django_assert_max_num_queries(11):
        digest_content(rosa(), MONDAY_LATE)
    for number in range(12):
        condition_make(house_make(company, f"U{number}", {"flat_blow": 60}), ["flat_blow"])
    with django_assert_max_num_queries(11):
        digest_content(rosa(), MONDAY_LATE)
