"""Whether a step is ready on a day, and the words for why not."""

from dataclasses import replace
from datetime import date

import pytest

from jobs.conditions.readiness import JobCondition, Mark, marks, newly_needed, step_ready
from jobs.conditions.words import PARTY_NAMES

MON, TUE, WED, THU = (date(2027, 3, day) for day in (1, 2, 3, 4))
DAYS = [MON, TUE, WED, THU]

BOARD = JobCondition(
    "ceiling_board", "ceiling board hung and taped", "drywaller", "block", "owed", ("flat_blow",)
)
CHASE = JobCondition(
    "chases_capped", "chases capped", "builder", "block", "promised", ("batt", "flat_blow"), TUE
)
LIGHTS = JobCondition(
    "recessed_lights_safe", "lights boxed", "electrician", "stop", "owed", ("flat_blow",)
)
FRAMING = JobCondition(
    "framing_inspection", "framing passed", "builder", "law", "owed", ("batt", "flat_blow")
)


def is_ready(condition: JobCondition, day: date, ready_date: date | None = None) -> bool:
    readiness = step_ready("flat_blow", [condition], day, ready_date)
    return readiness.ready


def reasons(condition: JobCondition, day: date, ready_date: date | None = None) -> list[str]:
    found = step_ready("flat_blow", [condition], day, ready_date).reasons
    return [str(reason) for reason in found]


def in_state(condition: JobCondition, state: str) -> JobCondition:
    return replace(condition, state=state, promised=None)


def test_a_step_that_nothing_holds_is_ready() -> None:
    readiness = step_ready("flat_blow", [], MON, None)
    assert readiness.ready
    assert readiness.reasons == ()


@pytest.mark.parametrize("state", ["seen_done", "reported_done", "waived", "taken_over"])
def test_settled_conditions_are_true_on_any_day(state: str) -> None:
    assert is_ready(in_state(BOARD, state), MON)


def test_a_promise_holds_from_the_morning_of_its_day() -> None:
    assert [is_ready(CHASE, day) for day in DAYS] == [False, True, True, True]


def test_owed_without_any_date_is_never_ready() -> None:
    assert not any(is_ready(BOARD, day) for day in DAYS)
    assert reasons(BOARD, MON) == ["ceiling board hung and taped: owed by drywaller, no date"]


def test_owed_is_believed_from_the_houses_ready_date_on() -> None:
    assert [is_ready(BOARD, day, WED) for day in DAYS] == [False, False, True, True]
    assert reasons(BOARD, MON, WED) == [
        "ceiling board hung and taped: owed by drywaller, house said to be ready Wed Mar 3"
    ]


@pytest.mark.parametrize("party", [party for party in PARTY_NAMES if party != "us"])
def test_the_ready_date_speaks_for_every_party_but_us(party: str) -> None:
    condition = replace(BOARD, owed_by=party)
    assert not is_ready(condition, MON, TUE)
    assert is_ready(condition, TUE, TUE)


def test_a_promise_later_than_the_ready_date_rules_and_is_explained() -> None:
    promised = replace(CHASE, promised=THU)
    assert not is_ready(promised, WED, TUE)
    assert is_ready(promised, THU, TUE)
    assert reasons(promised, WED, TUE) == [
        "chases capped: owed by builder, promised Thu Mar 4, past the house's ready date Tue Mar 2"
    ]


def test_a_promise_earlier_than_the_ready_date_rules_too() -> None:
    assert is_ready(CHASE, TUE, THU)
    assert reasons(CHASE, MON, THU) == ["chases capped: owed by builder, promised Tue Mar 2"]


@pytest.mark.parametrize("gate", ["warn", "close"])
def test_warnings_and_closing_papers_hold_nothing(gate: str) -> None:
    condition = replace(BOARD, gate=gate)
    assert is_ready(condition, MON)
    assert reasons(condition, MON) == []


@pytest.mark.parametrize("gate", ["stop", "law", "block"])
def test_what_we_owe_holds_nothing(gate: str) -> None:
    assert is_ready(replace(BOARD, gate=gate, owed_by="us"), MON)


def test_other_steps_conditions_do_not_hold_this_one() -> None:
    assert step_ready("batt", [BOARD], MON, None).ready


def test_every_condition_that_is_late_is_named_and_no_other() -> None:
    readiness = step_ready("flat_blow", [BOARD, CHASE, in_state(FRAMING, "seen_done")], MON, None)
    assert [str(reason) for reason in readiness.reasons] == [
        "ceiling board hung and taped: owed by drywaller, no date",
        "chases capped: owed by builder, promised Tue Mar 2",
    ]


def test_a_ready_step_says_what_promise_it_rests_on() -> None:
    assert reasons(CHASE, TUE) == ["chases capped: owed by builder, promised Tue Mar 2"]


@pytest.mark.parametrize("state", ["owed", "promised", "reported_done"])
@pytest.mark.parametrize("condition", [LIGHTS, FRAMING])
def test_stops_and_laws_are_planned_on_a_word_but_must_be_seen_before_the_start(
    condition: JobCondition, state: str
) -> None:
    open_one = replace(condition, state=state, promised=MON)
    readiness = step_ready("flat_blow", [open_one], MON, MON)
    assert readiness.ready
    assert readiness.must_be_seen_before_start == (condition.code,)


def test_once_seen_nothing_more_must_be_seen() -> None:
    seen = [in_state(LIGHTS, "seen_done"), in_state(FRAMING, "seen_done"), BOARD]
    assert step_ready("flat_blow", seen, MON, MON).must_be_seen_before_start == ()


def test_the_authoritys_waiver_is_as_good_as_seen() -> None:
    waived = in_state(FRAMING, "waived")
    assert step_ready("flat_blow", [waived], MON, None).must_be_seen_before_start == ()


def test_our_own_stops_must_be_seen_too() -> None:
    boards = replace(LIGHTS, code="walk_boards", owed_by="us")
    readiness = step_ready("flat_blow", [boards], MON, None)
    assert readiness.ready
    assert readiness.must_be_seen_before_start == ("walk_boards",)


@pytest.mark.parametrize("state", ["waived", "taken_over"])
def test_a_stop_that_somebody_got_round_still_holds(state: str) -> None:
    cheated = in_state(LIGHTS, state)
    assert not is_ready(cheated, THU, MON)
    words = state.replace("_", " ")
    assert reasons(cheated, THU, MON) == [
        f"lights boxed: a stop cannot be {words}, it must be seen done"
    ]
    assert marks([cheated], MON).marks[0].line == "hatched"
    readiness = step_ready("flat_blow", [cheated], THU, MON)
    assert readiness.must_be_seen_before_start == ("recessed_lights_safe",)


def test_a_locked_house_is_charged_once_at_the_first_step_that_needs_it() -> None:
    first = newly_needed(["air_seal", "batt", "flat_blow"], [BOARD, CHASE, FRAMING])
    assert first == {"air_seal": [], "batt": [CHASE, FRAMING], "flat_blow": [BOARD]}


def test_a_finished_step_that_is_left_out_no_longer_carries_the_charge() -> None:
    assert newly_needed(["flat_blow"], [CHASE]) == {"flat_blow": [CHASE]}
    assert newly_needed(["net"], [CHASE]) == {"net": []}


def test_marks_count_what_is_awaited_from_others() -> None:
    ours = replace(LIGHTS, code="walk_boards", owed_by="us")
    flagged = replace(LIGHTS, code="junctions_flagged", gate="warn")
    conditions = [BOARD, CHASE, in_state(LIGHTS, "reported_done"), in_state(FRAMING, "seen_done")]
    found = marks([*conditions, ours, flagged], None)
    assert (found.done, found.total, str(found.count)) == (2, 4, "2 of 4")
    assert [str(one.sentence) for one in found.open] == [
        "ceiling board hung and taped: owed by drywaller, no date",
        "chases capped: owed by builder, promised Tue Mar 2",
    ]
    assert [one.name for one in found.open] == [BOARD.name, CHASE.name]


def test_what_is_open_alike_is_told_by_the_same_sentence() -> None:
    """So that pages put together what one party owes for one day without reading words."""
    lights, chase = (replace(LIGHTS, owed_by="builder", state="owed", promised=None), CHASE)
    alike = marks([lights, replace(lights, code="fans", name="fans"), chase], None).open
    assert alike[0].how == alike[1].how != alike[2].how
    assert len({one.how for one in alike}) == 2


def test_a_sentence_in_a_sentence_is_translated_too() -> None:
    (board,) = marks([BOARD], MON).open
    spanish = {
        "owed by %(party)s, house said to be ready %(ready)s": "%(party)s, lista: %(ready)s",
        "drywaller": "yesero",
        BOARD.name: "tablero",
    }
    said = board.sentence.render(lambda text: spanish.get(text, text), lambda day: f"día {day.day}")
    assert said == "tablero: yesero, lista: día 1"


@pytest.mark.parametrize(
    ("condition", "ready_date", "line"),
    [
        (in_state(BOARD, "seen_done"), None, "solid"),
        (in_state(BOARD, "waived"), None, "solid"),
        (in_state(BOARD, "taken_over"), None, "solid"),
        (in_state(BOARD, "reported_done"), None, "dashed"),
        (CHASE, None, "dashed"),
        (BOARD, MON, "dashed"),
        (BOARD, None, "hatched"),
    ],
)
def test_marks_tell_true_from_said_and_from_open_by_their_line(
    condition: JobCondition, ready_date: date | None, line: str
) -> None:
    (mark,) = marks([condition], ready_date).marks
    assert mark == Mark(condition.code, condition.name, condition.state, line)


def test_marks_of_one_step_leave_out_the_others() -> None:
    found = marks([BOARD, CHASE, FRAMING], None, "batt")
    assert [mark.code for mark in found.marks] == ["chases_capped", "framing_inspection"]


def test_marks_of_a_job_without_conditions() -> None:
    found = marks([], None)
    assert (found.done, found.total, str(found.count), found.open) == (0, 0, "0 of 0", ())


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"state": "promised"}, "condition ceiling_board: promised without a date"),
        ({"state": "lost"}, "state 'lost'"),
        ({"gate": "hard"}, "gate 'hard'"),
        ({"owed_by": "mason"}, "party 'mason'"),
    ],
)
def test_a_condition_that_cannot_be_is_refused(changes: dict[str, str], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        replace(BOARD, **changes)  # type: ignore[arg-type]


def test_a_promise_for_the_ready_date_itself_is_not_called_late() -> None:
    assert reasons(CHASE, MON, TUE) == ["chases capped: owed by builder, promised Tue Mar 2"]


def test_what_was_found_cannot_be_changed_afterwards() -> None:
    found = marks([CHASE], None)
    for thing in (CHASE, found, found.marks[0], step_ready("batt", [CHASE], MON, None)):
        with pytest.raises(AttributeError):
            setattr(thing, "code", "other")  # noqa: B010 (the type checker would refuse it)
