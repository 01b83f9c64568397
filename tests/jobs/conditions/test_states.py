"""Who may move a condition from which state to which: the complete table."""

from dataclasses import replace
from datetime import date
from itertools import product

import pytest

from jobs.conditions.seed import ENTRIES
from jobs.conditions.states import (
    MOVES,
    OWED,
    PROMISED,
    REPORTED_DONE,
    SEEN_DONE,
    TAKEN_OVER,
    WAIVED,
    Grounds,
    Mover,
    MoveRefused,
    Terms,
    move_allowed,
    moves_open,
)
from jobs.conditions.words import GATE_NAMES, ROLES, STATE_NAMES

TODAY = date(2027, 3, 1)
GOOD = Grounds(
    day=TODAY, name="Dana Alvarez", reason="agreed on site", paper="B-114", document="scan-7"
)
LETTERS = {
    "owner": "O",
    "office": "O",
    "estimator": "E",
    "crew_lead": "C",
    "superintendent": "S",
}

# Rows: from; columns: to owed, promised, reported done, seen done, waived, taken over.
# O owner and office, E estimator, C crew lead, S superintendent; all with the best of grounds,
# the right to clear stops, and an entry that may be taken over.
BLOCK = """
    owed            -     O,S   O,S   O,E,C  O   O,C
    promised        O,E,C O,S   O,S   O,E,C  O   O,C
    reported_done   O,E,C O,S   -     O,E,C  O   O,C
    seen_done       O,E,C -     -     -      -   -
    waived          O,E,C -     -     O,E,C  -   -
    taken_over      O,E,C -     -     O,E,C  -   -
"""
LAW = """
    owed            -     O,S   O,S   O,E,C  O   -
    promised        O,E,C O,S   O,S   O,E,C  O   -
    reported_done   O,E,C O,S   -     O,E,C  O   -
    seen_done       O,E,C -     -     -      -   -
    waived          O,E,C -     -     O,E,C  -   -
    taken_over      O,E,C -     -     O,E,C  -   -
"""
LAW_NEVER_WAIVED = """
    owed            -     O,S   O,S   O,E,C  -   -
    promised        O,E,C O,S   O,S   O,E,C  -   -
    reported_done   O,E,C O,S   -     O,E,C  -   -
    seen_done       O,E,C -     -     -      -   -
    waived          O,E,C -     -     O,E,C  -   -
    taken_over      O,E,C -     -     O,E,C  -   -
"""
STOP = """
    owed            -     O,S   O,S   E,C    -   -
    promised        O,E,C O,S   O,S   E,C    -   -
    reported_done   O,E,C O,S   -     E,C    -   -
    seen_done       O,E,C -     -     -      -   -
    waived          O,E,C -     -     E,C    -   -
    taken_over      O,E,C -     -     E,C    -   -
"""
TABLES = {
    "stop": (Terms("stop", may_take_over=True, document="certificate"), STOP),
    "law": (Terms("law", may_take_over=True), LAW),
    "law never waived": (Terms("law", may_take_over=True, never_waived=True), LAW_NEVER_WAIVED),
    "block": (Terms("block", may_take_over=True), BLOCK),
    "warn": (Terms("warn", may_take_over=True), BLOCK),
    "close": (Terms("close", may_take_over=True), BLOCK),
}


def read(table: str) -> dict[tuple[str, str], set[str]]:
    """The table as letters by (from, to)."""
    rows = (line.split() for line in table.strip().splitlines())
    return {
        (state, to): set(cell.split(",")) - {"-"}
        for state, *cells in rows
        for to, cell in zip(STATE_NAMES, cells, strict=True)
    }


def is_allowed(terms: Terms, state: str, to: str, mover: Mover, grounds: Grounds = GOOD) -> bool:
    try:
        move_allowed(terms, state, to, mover, grounds, today=TODAY)
    except MoveRefused:
        return False
    return True


def refusal(terms: Terms, state: str, to: str, mover: Mover, grounds: Grounds = GOOD) -> str:
    with pytest.raises(MoveRefused) as refused:
        move_allowed(terms, state, to, mover, grounds, today=TODAY)
    assert str(refused.value.sentence) == str(refused.value)
    assert str(refused.value).endswith(".")
    return str(refused.value)


def test_the_tables_cover_every_gate_and_role() -> None:
    assert {terms.gate for terms, _ in TABLES.values()} == set(GATE_NAMES)
    assert set(LETTERS) == set(ROLES)


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("name", TABLES)
def test_every_move_by_role_gate_and_state(name: str, role: str) -> None:
    terms, table = TABLES[name]
    mover = Mover(role, may_clear_stop=True)
    expected = {move: LETTERS[role] in letters for move, letters in read(table).items()}
    found = {
        (state, to): is_allowed(terms, state, to, mover)
        for state, to in product(STATE_NAMES, STATE_NAMES)
    }
    assert found == expected
    assert len(found) == 36


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("name", TABLES)
def test_buttons_show_just_what_may_be_tried(name: str, role: str) -> None:
    terms, table = TABLES[name]
    mover = Mover(role, may_clear_stop=True)
    cells = read(table)
    for state in STATE_NAMES:
        expected = [to for to in STATE_NAMES if LETTERS[role] in cells[state, to]]
        assert list(moves_open(terms, state, mover)) == expected


@pytest.mark.parametrize("role", ROLES)
def test_without_the_right_nobody_clears_a_stop(role: str) -> None:
    for state in STATE_NAMES:
        assert not is_allowed(TABLES["stop"][0], state, SEEN_DONE, Mover(role))


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("state", STATE_NAMES)
def test_without_the_catalogues_leave_nobody_takes_over(state: str, role: str) -> None:
    for gate in GATE_NAMES:
        assert not is_allowed(Terms(gate), state, TAKEN_OVER, Mover(role, may_clear_stop=True))


@pytest.mark.parametrize("state", [state for state in STATE_NAMES if state != OWED])
def test_any_state_can_go_back_to_owed(state: str) -> None:
    assert OWED in MOVES[state]


@pytest.mark.parametrize("state", [PROMISED, REPORTED_DONE, SEEN_DONE, WAIVED, TAKEN_OVER])
@pytest.mark.parametrize("role", ["owner", "office", "estimator", "crew_lead"])
def test_going_back_to_owed_needs_a_reason(role: str, state: str) -> None:
    without = replace(GOOD, reason="  ")
    assert refusal(Terms("block"), state, OWED, Mover(role), without) == "Say why it is owed again."


def test_a_promise_needs_a_date_that_is_not_past() -> None:
    mover, terms = Mover("superintendent"), Terms("block")
    assert refusal(terms, OWED, PROMISED, mover, Grounds()) == "A promise needs its date."
    past = Grounds(day=date(2027, 2, 28))
    assert refusal(terms, OWED, PROMISED, mover, past) == (
        "Sun Feb 28 is past: promise today or later."
    )
    move_allowed(terms, OWED, PROMISED, mover, Grounds(day=TODAY), today=TODAY)


def test_a_promise_can_be_made_anew() -> None:
    later = Grounds(day=date(2027, 3, 4))
    move_allowed(Terms("block"), PROMISED, PROMISED, Mover("superintendent"), later, today=TODAY)


def test_reports_rest_on_nothing_but_the_word() -> None:
    move_allowed(
        Terms("stop", document="certificate"), OWED, REPORTED_DONE, Mover("superintendent"),
        Grounds(), today=TODAY,
    )  # fmt: skip


@pytest.mark.parametrize("gate", ["block", "warn", "close"])
@pytest.mark.parametrize("without", [replace(GOOD, name=""), replace(GOOD, reason=" ")])
def test_a_waiver_needs_a_name_and_a_reason(without: Grounds, gate: str) -> None:
    found = refusal(Terms(gate), OWED, WAIVED, Mover("office"), without)
    assert found == "A waiver needs the name of who waives it, and a reason."


@pytest.mark.parametrize(
    "without", [replace(GOOD, name=""), replace(GOOD, paper=" "), replace(GOOD, day=None)]
)
def test_a_law_is_waived_by_the_authoritys_name_date_and_paper(without: Grounds) -> None:
    found = refusal(Terms("law"), OWED, WAIVED, Mover("office"), without)
    assert found == "Only the authority can waive this: give its name, the date and the paper."


def test_an_authoritys_paper_is_not_dated_ahead() -> None:
    ahead = replace(GOOD, day=date(2027, 3, 2))
    assert refusal(Terms("law"), OWED, WAIVED, Mover("owner"), ahead) == (
        "The authority's paper is dated Tue Mar 2, still to come."
    )


def test_a_stop_with_a_paper_is_cleared_only_with_it() -> None:
    lead = Mover("crew_lead", may_clear_stop=True)
    terms = ENTRIES["no_vermiculite"].terms
    found = refusal(terms, OWED, SEEN_DONE, lead, replace(GOOD, document=""))
    assert found == (
        "This stop is cleared only with its paper: asbestos professional's clearance letter."
    )
    move_allowed(terms, OWED, SEEN_DONE, lead, Grounds(document="scan-7"), today=TODAY)


def test_a_stop_without_a_paper_needs_none() -> None:
    terms = ENTRIES["walk_boards"].terms
    lead = Mover("crew_lead", may_clear_stop=True)
    move_allowed(terms, OWED, SEEN_DONE, lead, Grounds(), today=TODAY)


@pytest.mark.parametrize(
    ("terms", "state", "to", "mover", "sentence"),
    [
        (Terms("block"), SEEN_DONE, PROMISED, Mover("office"),
         "It is seen done and cannot become promised."),
        (Terms("block"), OWED, OWED, Mover("office"), "It is owed and cannot become owed."),
        (Terms("block"), OWED, WAIVED, Mover("crew_lead"),
         "It is not yours to set this to waived."),
        (Terms("stop"), OWED, SEEN_DONE, Mover("office", may_clear_stop=True),
         "A stop cannot be cleared from the office: it must be seen done on site."),
        (Terms("stop"), OWED, SEEN_DONE, Mover("crew_lead"),
         "A stop is cleared only by a person who has the right to."),
        (Terms("stop"), OWED, WAIVED, Mover("owner"),
         "A stop cannot be waived by anyone: it must be seen done."),
        (Terms("law", never_waived=True), OWED, WAIVED, Mover("owner"),
         "This rule of law cannot be waived by anyone."),
        (Terms("block"), OWED, TAKEN_OVER, Mover("crew_lead"),
         "This is not work that we may take over."),
    ],
)  # fmt: skip
def test_refusals_say_why(terms: Terms, state: str, to: str, mover: Mover, sentence: str) -> None:
    assert refusal(terms, state, to, mover) == sentence


@pytest.mark.parametrize(
    ("terms", "state", "to", "role", "message"),
    [
        (Terms("hard"), OWED, WAIVED, "office", "gate 'hard': expected one of stop"),
        (Terms("block"), "lost", OWED, "office", "state 'lost': expected one of owed"),
        (Terms("block"), OWED, "lost", "office", "state 'lost': expected one of owed"),
        (Terms("block"), OWED, WAIVED, "painter", "role 'painter': expected one of owner"),
    ],
)
def test_words_that_do_not_exist_are_errors(
    terms: Terms, state: str, to: str, role: str, message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        move_allowed(terms, state, to, Mover(role), GOOD, today=TODAY)
