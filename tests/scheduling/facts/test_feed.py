"""What crews say feeds the record: conditions, charges, what steps took, what visits found."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from contractor.events import Actor
from jobs.conditions.states import Grounds
from jobs.models import Actual, BackCharge, Condition, Finding, PromiseOutcome
from jobs.rates.services.actuals import actual_enter
from jobs.readiness.services.condition import condition_move
from scheduling.facts.services.facts import State
from tests.people import MONDAY, Company
from tests.scheduling.facts.facts import SEVEN
from tests.scheduling.facts.feed import CHASE, TUESDAY, Feed, feed_make, on

pytestmark = pytest.mark.django_db


@pytest.fixture
def feed(company: Company) -> Feed:
    return feed_make(company, chases_capped="reported_done", attic_access="reported_done")


def move(feed: Feed, condition: Condition, to_state: str, minute: int, **grounds: Any) -> None:
    """The office moves it, so many minutes after seven on Monday."""
    condition_move(
        condition_id=condition.pk,
        version=condition.version,
        to_state=to_state,
        grounds=Grounds(**grounds),
        actor=Actor.of_user(feed.company.omar),
        now=SEVEN + timedelta(minutes=minute),
    )


# Checks.


def test_what_is_true_is_seen_done_when_it_was_tapped(feed: Feed) -> None:
    feed.take(feed.checked(10, "true"))
    row = feed.condition()
    assert (row.state, row.moved_by) == ("seen_done", "Cleo")
    assert row.moved_at == SEVEN + timedelta(minutes=10)
    report = PromiseOutcome.objects.get(condition=row, kind="report")
    assert (report.found_true, report.came) == (True, MONDAY)


def test_what_is_not_true_is_owed_with_its_reason(feed: Feed) -> None:
    feed.take(feed.checked(10, "not_true", reason="open at the flue"))
    row = feed.condition()
    assert (row.state, row.reason) == ("owed", "open at the flue")
    assert PromiseOutcome.objects.get(condition=row, kind="report").found_true is False


def test_what_we_did_is_our_step_with_its_charge(feed: Feed) -> None:
    feed.take(feed.checked(10, **CHASE))
    charge = BackCharge.objects.get()
    assert (charge.amount, charge.agreed_by) == (Decimal(12), "Rosa Reyes, by phone")
    assert (charge.taken_by, charge.taken_at) == ("Cleo", SEVEN + timedelta(minutes=10))
    assert feed.condition().state == "taken_over"
    assert feed.lot.steps.get(kind="cap_chases").needed


def test_an_older_check_that_comes_late_changes_nothing(feed: Feed) -> None:
    feed.take(feed.checked(20, "true"))
    feed.take(feed.checked(10, "not_true", reason="open"))
    assert feed.condition().state == "seen_done"
    assert feed.left_out(10) == ""


def test_what_somebody_changed_after_the_tap_stands_and_is_said(feed: Feed) -> None:
    """Tapped at 7:10 with no signal, moved by the office at 8:30."""
    move(feed, feed.condition(), "owed", 90, reason="Rosa rang")
    feed.take(feed.checked(10, "true"))
    assert feed.condition().state == "owed"
    expected = "Omar changed it at 8:30 on 2027-03-01, after this was tapped."
    assert feed.left_out(10) == expected


def test_what_the_office_changed_before_is_answered(feed: Feed) -> None:
    move(feed, feed.condition(), "owed", 5, reason="Rosa rang")
    feed.take(feed.checked(10, "true"))
    assert (feed.condition().state, feed.left_out(10)) == ("seen_done", "")


def test_a_stop_is_cleared_only_by_who_may(feed: Feed) -> None:
    row = feed.lot.conditions.filter(gate="block").exclude(code="chases_capped").first()
    assert row is not None
    Condition.objects.filter(pk=row.pk).update(gate="stop")
    feed.take(feed.checked(10, "true", row.code, document="no. 7"))
    row.refresh_from_db()
    assert row.state != "seen_done"
    assert feed.left_out(10) == "A stop is cleared only by a person who has the right to."
    feed.company.cleo.may_clear_stop = True
    feed.company.cleo.save()
    feed.take(feed.checked(11, "true", row.code, document="no. 7"))
    row.refresh_from_db()
    assert (row.state, row.document) == ("seen_done", "no. 7")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"agreed_by": ""}, "It is not said who agreed that we do it."),
        ({"amount": "much"}, "amount: expected a number."),
        ({"amount": "0"}, "amount: expected more than 0."),
        ({"amount": "NaN"}, "amount: expected a number below 1,000,000."),
        ({"amount": "1e9999999"}, "amount: expected a number below 1,000,000."),
        ({"flues": "1.5"}, "flues: expected a whole number."),
        ({"length_ft": "4"}, "length_ft: expected none: only bays have a length."),
    ],
)
def test_a_taking_over_that_cannot_be_says_why(
    feed: Feed, change: dict[str, str], words: str
) -> None:
    (taken,) = feed.take(feed.checked(10, **CHASE | change))
    assert taken.state == State.KEPT
    assert feed.left_out(10) == words
    assert feed.condition().state == "reported_done"
    assert not BackCharge.objects.exists()


def test_what_is_not_ours_to_take_over_is_left(feed: Feed) -> None:
    feed.take(feed.checked(10, code="attic_access", **CHASE))
    assert feed.condition("attic_access").state == "reported_done"
    assert feed.left_out(10) != ""


def test_not_true_after_all_strikes_our_charge(feed: Feed) -> None:
    feed.take(feed.checked(10, **CHASE), feed.checked(20, "not_true", reason="theirs after all"))
    assert feed.condition().state == "owed"
    assert not BackCharge.objects.active().exists()
    assert not feed.lot.steps.filter(kind="cap_chases", needed=True).exists()


def test_a_condition_that_is_gone_is_said_to_be(feed: Feed) -> None:
    fact = feed.checked(10, "true") | {"condition": 987654}
    (taken,) = feed.take(fact)
    assert taken.state == State.KEPT
    assert feed.left_out(10) == "The house does not ask for that any more."


# What steps took.


def test_a_finished_step_is_entered_with_people_and_machine(feed: Feed) -> None:
    figures = {"bags": 70, "depths_in": [16.5, 17.0]}
    feed.take(feed.finished(200, 95, what=figures, day=TUESDAY.isoformat(), at=on(TUESDAY, 200)))
    actual = Actual.objects.get()
    assert (actual.minutes, actual.bags, actual.people) == (95, 70, 3)
    assert (actual.machine, actual.worked_on) == (feed.company.blower, TUESDAY)
    assert (actual.said, actual.who) == (True, "Cleo")


def test_parts_are_summed_once_all_is_done(feed: Feed) -> None:
    feed.take(feed.finished(200, 60, what={"bags": 30, "whole": False}))
    assert not Actual.objects.exists()
    feed.take(feed.finished(1640, 45, what={"bags": 25}, day=TUESDAY.isoformat()))
    other = feed.finished(1650, 20, what={"bags": 5}, day=TUESDAY.isoformat(), south=True)
    feed.take(other, south=True)
    newest = Actual.objects.first()
    assert newest is not None
    assert (newest.minutes, newest.bags) == (125, 60)


def test_a_second_lead_never_doubles_the_minutes(feed: Feed) -> None:
    feed.take(feed.finished(200, 60), feed.finished(201, 62), feed.finished(200, 60))
    assert [actual.minutes for actual in Actual.objects.order_by("pk")] == [60, 62]


def test_what_is_not_done_after_all_is_withdrawn(feed: Feed) -> None:
    feed.take(feed.finished(200, 60), feed.finished(210, 60, what={"whole": False}))
    assert not Actual.objects.active().exists()
    assert Actual.objects.count() == 2


def test_what_the_office_entered_by_hand_later_holds(feed: Feed) -> None:
    actual_enter(
        step_id=feed.lot.steps.get(kind="flat_blow").pk,
        crew=feed.company.north,
        machine=None,
        people=3,
        minutes=50,
        bags=None,
        worked_on=MONDAY,
        actor=Actor.of_user(feed.company.omar),
        now=SEVEN + timedelta(minutes=300),
    )
    feed.take(feed.finished(200, 95))
    assert [actual.minutes for actual in Actual.objects.all()] == [50]
    assert feed.left_out(200).startswith("Omar entered what this step took by hand at 12:00")


def test_minutes_of_work_taken_over_may_come_before_it_is_said(feed: Feed) -> None:
    feed.take(feed.finished(60, 40, "cap_chases"))
    assert feed.left_out(60) != ""
    feed.take(feed.checked(10, **CHASE))
    assert Actual.objects.get().step.kind == "cap_chases"
    assert feed.condition().state == "seen_done"
    assert BackCharge.objects.active().count() == 1


# What visits found.


def test_who_starts_could_start(feed: Feed) -> None:
    feed.take(feed.say(20, "started", step="flat_blow"))
    finding = Finding.objects.get()
    assert (finding.could_start, finding.step_kinds, finding.day) == (True, ["flat_blow"], MONDAY)
    assert 0 < finding.stated < 1
    assert feed.condition("attic_access").state == "seen_done"


def test_who_is_turned_away_could_not(feed: Feed) -> None:
    missing = [feed.condition("attic_access").pk]
    feed.take(feed.say(20, "turned_away", what={"missing": missing, "why": "hatch is shut"}))
    finding = Finding.objects.get()
    assert (finding.could_start, finding.missing) == (False, ["attic_access"])
    assert finding.note == "hatch is shut"
    assert feed.condition("attic_access").state == "owed"


def test_the_chance_is_that_of_the_morning_whatever_was_seen_since(company: Company) -> None:
    feed = feed_make(company, attic_access="reported_done")
    feed.take(feed.checked(10, "not_true", "attic_access"))
    feed.take(feed.say(20, "turned_away", what={"why": "as above"}))
    assert 0 < Finding.objects.get().stated < 1


def test_turned_away_for_a_reason_in_words_alone(feed: Feed) -> None:
    feed.take(feed.say(20, "turned_away", what={"why": "the gate is locked"}))
    finding = Finding.objects.get()
    assert (finding.could_start, finding.missing) == (False, [])
    assert feed.condition("attic_access").state == "reported_done"


def test_the_last_word_of_a_day_counts_and_repeats_do_not(feed: Feed) -> None:
    away = feed.say(20, "turned_away", what={"why": "the gate is locked"})
    started = feed.say(90, "started", step="flat_blow")
    feed.take(away, away, started, started, feed.say(95, "started", step="flat_blow"), away)
    assert [one.could_start for one in Finding.objects.order_by("pk")] == [False, True]


def test_a_missing_thing_that_the_house_has_not_is_left_unnamed(feed: Feed) -> None:
    feed.take(feed.say(20, "turned_away", what={"missing": [987654], "why": ""}))
    assert Finding.objects.get().missing == []


def test_a_phone_may_send_whatever_it_likes(feed: Feed) -> None:
    facts = [
        feed.checked(1, "we_did_it", **{f"x{number}": "y" * 500 for number in range(12)}),
        feed.checked(2, "not_true", reason="r" * 500),
        feed.checked(3, "true", document="d" * 500),
        feed.finished(4, 1440, what={"bags": 5000}),
        feed.finished(5, 1440, "net", what={"bags": 5000}),
        feed.say(6, "turned_away", what={"missing": [0, 2**62], "why": "w" * 500}),
        feed.say(7, "started", step="seal_boxes"),
        feed.finished(8, 5, day=(MONDAY + timedelta(days=6)).isoformat()),
    ]
    assert {taken.state for taken in feed.take(*facts)} == {State.KEPT}
    assert feed.condition().document == "d" * 200
    assert [one.note for one in Finding.objects.filter(could_start=False)] == ["w" * 300]
