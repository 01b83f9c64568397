"""The judge's sentences as the office reads them: hours, dates, names, machines by kind."""

from datetime import date, timedelta

import pytest
from django.utils import translation

from scheduling.gather.names import Names
from scheduling.planning.rules import Violation

MONDAY = date(2027, 3, 1)
NAMES = Names(
    {"crew-3": "North", "step-8": "flat blow at Lot 1", "step-7": "baffles at Lot 1"},
    lambda number: MONDAY + timedelta(days=number),
)


@pytest.mark.parametrize(
    ("judge", "office"),
    [
        (
            "crew-3 needs 587 minutes on 2027-03-02, 570 at most",
            "North needs 9 h 47 min on Tue Mar 2, 9 h 30 min at most",
        ),
        (
            "step-8 gets 45 minutes of crew-3, 120 expected",
            "flat blow at Lot 1 gets 45 min of North, 2 h expected",
        ),
        (
            "step-8 starts on 2027-03-02, step-7 allows it from day 13",
            "flat blow at Lot 1 starts on Tue Mar 2, baffles at Lot 1 allows it from Sun Mar 14",
        ),
        (
            "crew-3 has 9 stops on 2027-03-02, 8 at most",
            "North has 9 stops on Tue Mar 2, 8 at most",
        ),
        (
            "3 crews need one on 2027-03-02, there are 2",
            "3 crews need a machine on Tue Mar 2, there are 2",
        ),
        ("crew-99 is off on 2027-13-99", "crew-99 is off on 2027-13-99"),
    ],
)
def test_words_of_the_judge_and_of_the_office(judge: str, office: str) -> None:
    with translation.override("en"):
        assert NAMES.say(judge) == office


def test_a_machine_that_is_short_is_named_by_its_kind() -> None:
    found = Violation(7, "blower/2027-03-02", "2 crews need one on 2027-03-02, there are 1")
    assert NAMES.objection(found) == "2 crews need a blower on Tue Mar 2, there is 1"
    other = Violation(3, "step-8", "crew-3 is not able to do step-8")
    assert NAMES.objection(other) == "North is not able to do flat blow at Lot 1"


def test_days_past_the_plan_keep_their_number_where_no_calendar_is_known() -> None:
    assert Names({}).say("not before day 13") == "not before day 13"
