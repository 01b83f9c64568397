"""What becomes of a condition by what is said of it, by hand."""

from datetime import UTC, date, datetime, timedelta

import pytest

from scheduling.progress.claims import TAKEN_ALREADY, WORK_BEGUN, Claim, Effect, claimed_state

START = datetime(2027, 3, 1, 13, tzinfo=UTC)


def claim(number: int, effect: str, day: int = 0, reason: str = "") -> Claim:
    at = START + timedelta(days=day, minutes=number)
    return Claim(f"{number:03}", at, Effect(effect), reason)


@pytest.mark.parametrize(
    ("base", "effects", "state", "charges"),
    [
        ("reported_done", ["true"], "seen_done", 0),
        ("owed", ["true", "not_true"], "owed", 0),
        ("owed", ["not_true", "true"], "seen_done", 0),
        ("owed", ["started"], "owed", 0),
        ("reported_done", ["started"], "seen_done", 0),
        ("promised", ["missing"], "promised", 0),
        ("reported_done", ["missing"], "owed", 0),
        ("seen_done", ["missing", "we_did_it"], "taken_over", 1),
        ("owed", ["we_did_it", "we_did_it"], "taken_over", 1),
        ("owed", ["we_did_it", "not_true"], "owed", 0),
        ("owed", ["we_did_it", "worked", "not_true"], "taken_over", 1),
        ("owed", ["we_did_it", "worked", "work_done"], "seen_done", 1),
        ("owed", ["we_did_it", "true", "not_true"], "owed", 1),
        ("owed", ["work_done"], "owed", 0),
        ("owed", ["done"], "seen_done", 0),
        ("waived", ["done"], "waived", 0),
        ("waived", ["true"], "seen_done", 0),
    ],
)
def test_where_it_ends(base: str, effects: list[str], state: str, charges: int) -> None:
    said = [claim(number, effect) for number, effect in enumerate(effects)]
    found = claimed_state(base, reversed(said), lambda at: at.date())
    assert (found.state, len(found.charges)) == (state, charges)


def test_what_changes_nothing_says_why() -> None:
    office = claimed_state("taken_over", [claim(1, "we_did_it")], lambda at: at.date())
    assert office.left_out == {"001": TAKEN_ALREADY}
    effects = enumerate(["we_did_it", "worked", "not_true"])
    begun = claimed_state("owed", [claim(*one) for one in effects], lambda at: at.date())
    assert begun.left_out == {"002": WORK_BEGUN}


def test_a_day_is_told_by_how_it_began_and_ended() -> None:
    """Found untrue on the first day and true on the second: the report of before was false."""
    said = [
        claim(1, "true"),
        claim(2, "not_true", reason="open"),
        claim(3, "true", day=1),
    ]
    found = claimed_state("reported_done", said, lambda at: at.date())
    first, second = date(2027, 3, 1), date(2027, 3, 2)
    assert found.days == (
        (first, "reported_done", "owed"),
        (second, "owed", "seen_done"),
    )
    assert (found.before(first), found.before(second)) == ("reported_done", "owed")
