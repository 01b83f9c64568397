"""The planner's findings as the office reads them: hours, dates, names, machines by kind."""

from datetime import date, timedelta

import pytest
from django.utils import translation

from scheduling.gather.names import Names, step_at
from scheduling.planning.findings import Code, Finding, finding
from scheduling.planning.problem import Assignment

MONDAY = date(2027, 3, 1)
NAMES = Names(
    {"crew-3": "North", "step-8": "flat blow at Lot 1", "step-7": "baffles at Lot 1"},
    lambda number: MONDAY + timedelta(days=number),
)
LONG = finding(Code.DAY_TOO_LONG, crew="crew-3", minutes=587, day=1, most_minutes=570)


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (LONG, "North needs 9 h 47 min on Tue Mar 2, 9 h 30 min at most"),
        (
            finding(
                Code.WRONG_MINUTES, step="step-8", minutes=45, crew="crew-3", needed_minutes=120
            ),
            "flat blow at Lot 1 gets 45 min of North, 2 h expected",
        ),
        (
            finding(Code.TOO_SOON, step="step-8", day=1, before="step-7", from_day=13),
            "flat blow at Lot 1 starts on Tue Mar 2, baffles at Lot 1 allows it from Sun Mar 14",
        ),
        (
            finding(Code.TOO_MANY_STOPS, crew="crew-3", count=9, day=1, most=8),
            "North has 9 stops on Tue Mar 2, 8 at most",
        ),
        (
            finding(Code.TOO_FEW_MACHINES, machine="blower", count=2, day=1, there=1),
            "blower: 2 needed on Tue Mar 2, 1 there",
        ),
        (
            finding(Code.EARLIER_FIXED_LAG, other=Assignment("step-7", "crew-3", 0), lag_days=2),
            "baffles at Lot 1 with North on Mon Mar 1, which comes before it, is fixed too, "
            "2 days before it at the latest",
        ),
        (
            finding(Code.NOT_FOUND_IN_TIME, because=LONG),
            "no way to keep it was found in time: "
            "North needs 9 h 47 min on Tue Mar 2, 9 h 30 min at most",
        ),
        (finding(Code.CREW_OFF, crew="crew-99", day=0), "crew-99 is off on Mon Mar 1"),
    ],
)
def test_words_of_the_office(found: Finding, words: str) -> None:
    with translation.override("en"):
        assert NAMES.sentence(found) == words


def test_the_same_in_spanish() -> None:
    with translation.override("es"):
        words = NAMES.sentence(LONG)
        assert words == "North necesita 9 h 47 min el mar 2 de marzo, 9 h 30 min a lo más"
        assert step_at("flat_blow", "Lot 1") == "soplado plano en Lot 1"


def test_a_day_keeps_its_number_where_no_calendar_is_known() -> None:
    assert Names({}).sentence(finding(Code.CREW_OFF, crew="ash", day=13)) == "ash is off on day 13"
