"""Which conditions a job needs, who owes them, and what lags they set."""

from collections.abc import Collection, Sequence
from dataclasses import replace

import pytest

from jobs.conditions.needed import NeededCondition, conditions_needed, step_lags
from jobs.conditions.seed import ENTRIES, SEED

ATTIC = ["air_seal", "baffles", "flat_blow"]
NETTED = ["air_seal", "baffles", "net", "slope_blow", "flat_blow"]
BOARDED = ["air_seal", "baffles", "slope_blow", "flat_blow"]


def needed(
    spaces: Collection[str],
    steps: Sequence[str],
    year_built: int | None = None,
    covers: Collection[str] = (),
    facts: Collection[str] = (),
) -> dict[str, NeededCondition]:
    found = conditions_needed(spaces, steps, year_built, covers=covers, facts=facts, catalogue=SEED)
    assert len({condition.code for condition in found}) == len(found)
    return {condition.code: condition for condition in found}


def test_a_new_attic_waits_for_its_ceiling_board_from_the_sealing_on() -> None:
    board = needed(["attic_flat", "air_seal"], ATTIC)["ceiling_board"]
    assert board == NeededCondition(
        "ceiling_board", "drywaller", "block", ("air_seal", "flat_blow")
    )


def test_sealing_before_the_walls_does_not_wait_for_board_that_comes_after() -> None:
    steps = ["air_seal", "batt", "flat_blow"]
    assert needed(["attic_flat", "walls"], steps)["ceiling_board"].holds == ("flat_blow",)


def test_an_old_ceiling_is_there_already() -> None:
    assert "ceiling_board" not in needed(["attic_flat"], ATTIC, 1985)


def test_our_own_steps_meet_what_they_bring_about() -> None:
    found = needed(["attic_flat"], ATTIC)
    assert found["attic_sealed"].met_by == "air_seal"
    assert found["attic_baffles"] == NeededCondition(
        "attic_baffles", "us", "block", ("flat_blow",), met_by="baffles"
    )


def test_without_a_step_of_ours_the_builder_owes_it() -> None:
    found = needed(["attic_flat"], ["flat_blow"])
    assert (found["attic_sealed"].owed_by, found["attic_sealed"].met_by) == ("builder", "")
    assert found["attic_baffles"].owed_by == "builder"


def test_an_unvented_roof_needs_no_baffles() -> None:
    found = needed(["attic_flat", "slope_bays"], ["slope_blow", "flat_blow"], 1985, ["net"],
                   ["unvented_roof"])  # fmt: skip
    assert not {"attic_baffles", "slope_vents", "attic_ventilation"} & set(found)


@pytest.mark.parametrize(
    ("covers", "year_built", "expected"),
    [
        (["net"], None, {"net_stapled", "slope_vents"}),
        (["board"], None, {"slope_board_up", "slope_vents_behind_board"}),
        (["none"], None, {"slope_cover_up", "slope_vents"}),
        ([], None, {"slope_cover_up", "slope_vents"}),
        (["net", "board"], None,
         {"net_stapled", "slope_vents", "slope_board_up", "slope_vents_behind_board"}),
        (["net"], 1985, {"net_stapled", "slope_vents"}),
        (["board"], 1985, set()),
    ],
)  # fmt: skip
def test_slopes_need_what_their_cover_asks_for(
    covers: list[str], year_built: int | None, expected: set[str]
) -> None:
    steps = ["baffles", "net", "slope_blow"] if "net" in covers else ["baffles", "slope_blow"]
    found = needed(["slope_bays"], steps, year_built, covers)
    assert {code for code in found if code.startswith(("slope_", "net_"))} == expected


def test_flat_attics_ask_nothing_of_slopes_or_walls() -> None:
    found = set(needed(["attic_flat"], ATTIC))
    assert not {"slope_cover_up", "tub_wall_first", "plates_sealed", "windows_doors_in"} & found


def test_walls_ask_for_windows_and_roughs_but_not_for_an_attic() -> None:
    found = needed(["walls"], ["air_seal", "batt"])
    assert {"windows_doors_in", "plumbing_rough_passed", "electrical_rough_passed"} <= set(found)
    assert not {"attic_access", "walk_boards", "ceiling_board", "depth_markers"} & set(found)
    assert found["plates_sealed"].met_by == "air_seal"


def test_walls_filled_behind_a_cover_wait_for_it() -> None:
    assert needed(["walls"], ["dense_fill"])["wall_cover_up"].owed_by == "drywaller"
    assert needed(["walls"], ["net", "dense_fill"])["wall_cover_up"].met_by == "net"


def test_the_insulation_inspection_exists_only_where_we_leave_something_to_inspect() -> None:
    assert "insulation_inspection" not in needed(["attic_flat"], ATTIC)
    assert "insulation_inspection" not in needed(["attic_flat", "slope_bays"], BOARDED, None,
                                                 ["board"])  # fmt: skip
    netted = needed(["attic_flat", "slope_bays"], NETTED, None, ["net"])
    assert netted["insulation_inspection"].holds == ("flat_blow",)


def test_an_inspection_that_only_holds_the_board_is_listed_and_holds_no_step_of_ours() -> None:
    assert needed(["walls"], ["batt"])["insulation_inspection"].holds == ()


def test_old_houses_ask_for_no_trades_and_new_ones_for_no_old_dangers() -> None:
    old, new = needed(["attic_flat"], ATTIC, 1955), needed(["attic_flat"], ATTIC)
    assert "framing_inspection" in new
    assert "framing_inspection" not in old
    assert "combustion_test" in old
    assert "combustion_test" not in new


@pytest.mark.parametrize(
    ("code", "last_year"),
    [("no_vermiculite", 1999), ("no_live_knob_and_tube", 1959), ("lead_rule", 1977)],
)
def test_old_dangers_end_with_their_year(code: str, last_year: int) -> None:
    steps = ["dense_fill", "flat_blow"]
    assert code in needed(["attic_flat", "walls"], steps, last_year)
    assert code not in needed(["attic_flat", "walls"], steps, last_year + 1)


@pytest.mark.parametrize(
    ("fact", "code", "steps"),
    [
        ("two_part_foam", "house_empty_for_foam", ATTIC),
        ("two_part_foam", "foam_reentry", ATTIC),
        ("wet_spray", "framing_dry_wet_spray", ["dense_fill"]),
        ("program_home", "rater_visit", ["batt", "flat_blow"]),
        ("board_overloaded", "board_carries_load", ATTIC),
    ],
)
def test_a_fact_brings_its_condition(fact: str, code: str, steps: list[str]) -> None:
    spaces = ["attic_flat", "walls"]
    assert code in needed(spaces, steps, None, (), [fact])
    assert code not in needed(spaces, steps)


def test_conditions_hold_only_steps_that_the_job_has() -> None:
    for condition in conditions_needed(["attic_flat"], ["flat_blow"], None, catalogue=SEED):
        assert condition.holds == ("flat_blow",)


def test_a_job_without_steps_needs_nothing() -> None:
    assert conditions_needed([], [], None, catalogue=SEED) == []


def test_conditions_come_in_the_catalogues_order() -> None:
    order = list(ENTRIES)
    places = [
        order.index(condition.code)
        for condition in conditions_needed(["walls"], ["batt"], None, catalogue=SEED)
    ]
    assert places == sorted(places)


def test_a_contractors_own_catalogue_is_asked() -> None:
    own = replace(ENTRIES["truck_access"], code="gate_code", name="gate code given")
    (found,) = conditions_needed(["attic_flat"], ["flat_blow"], None, catalogue=[own])
    assert found.code == "gate_code"


@pytest.mark.parametrize(
    ("spaces", "steps", "covers", "facts", "message"),
    [
        (["roof"], ["batt"], [], [], "space 'roof': expected one of attic_flat"),
        (["walls"], ["paint"], [], [], "step 'paint': expected one of air_seal"),
        (["slope_bays"], ["net"], "net", [], "cover 'n': expected one of net, board, none"),
        (["walls"], ["batt"], [], ["rain"], "fact 'rain': expected one of two_part_foam"),
    ],
)
def test_unknown_words_are_named(
    spaces: list[str], steps: list[str], covers: list[str], facts: list[str], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        conditions_needed(spaces, steps, None, covers=covers, facts=facts, catalogue=SEED)


def test_board_after_our_walls_and_their_inspection_makes_a_lag_of_four() -> None:
    (step, lag), *rest = step_lags(["air_seal", "batt", "flat_blow"], True, catalogue=SEED).items()
    assert (step, lag.lag_days, rest) == ("flat_blow", 4, [])
    assert [str(reason) for reason in lag.reasons] == [
        "insulation inspection passed: follows our batts; working days of others: 1",
        "ceiling board hung and taped: follows our batts; working days of others: 2",
    ]


@pytest.mark.parametrize(
    ("steps", "is_new_house", "covers", "expected"),
    [
        (NETTED, True, ["net"], {"flat_blow": 4}),
        (NETTED, True, ["net", "board"], {"flat_blow": 4}),
        (BOARDED, True, ["none"], {"flat_blow": 4}),
        (BOARDED, True, [], {"flat_blow": 4}),
        (BOARDED, True, ["board"], {}),
        (["batt", "slope_blow", "flat_blow"], True, ["board"], {"flat_blow": 4}),
        (["dense_fill", "flat_blow"], True, [], {"flat_blow": 4}),
        (ATTIC, True, [], {}),
        (["batt"], True, [], {}),
        (["flat_blow", "batt"], True, [], {}),
        (NETTED, False, ["net"], {}),
        ([], True, [], {}),
    ],
)
def test_lags_by_house_steps_and_cover(
    steps: list[str], is_new_house: bool, covers: list[str], expected: dict[str, int]
) -> None:
    found = step_lags(steps, is_new_house, covers, catalogue=SEED)
    assert {step: lag.lag_days for step, lag in found.items()} == expected


def test_attic_sealing_after_the_walls_waits_for_the_board() -> None:
    steps = ["batt", "air_seal", "flat_blow"]
    lags = {step: lag.lag_days for step, lag in step_lags(steps, True, catalogue=SEED).items()}
    assert lags == {"air_seal": 4}


def test_sealing_after_walls_waits_for_no_board_where_there_is_no_attic() -> None:
    lags = step_lags(
        ["batt", "air_seal"], True, spaces=["walls"], done=["insulation_inspection"], catalogue=SEED
    )
    assert lags == {}


@pytest.mark.parametrize(
    ("done", "expected"),
    [
        (["insulation_inspection"], {"flat_blow": 3}),
        (["ceiling_board"], {"flat_blow": 2}),
        (["insulation_inspection", "ceiling_board"], {}),
    ],
)
def test_what_is_true_already_takes_no_more_days(done: list[str], expected: dict[str, int]) -> None:
    found = step_lags(["batt", "flat_blow"], True, done=done, catalogue=SEED)
    assert {step: lag.lag_days for step, lag in found.items()} == expected


def test_two_part_foam_keeps_the_next_step_off_the_same_day() -> None:
    lags = step_lags(ATTIC, False, facts=["two_part_foam"], catalogue=SEED)
    assert {step: lag.lag_days for step, lag in lags.items()} == {"baffles": 1}
    assert str(lags["baffles"].reasons[0]) == (
        "re-entry time after two-part foam over: follows our air sealing; not on the same day"
    )


def test_a_drywaller_who_needs_longer_makes_a_longer_lag() -> None:
    board = ENTRIES["ceiling_board"]
    assert board.lag_after is not None
    slow = replace(board, lag_after=replace(board.lag_after, trade_days=5))
    catalogue = [slow if entry.code == board.code else entry for entry in SEED]
    assert step_lags(["batt", "flat_blow"], True, catalogue=catalogue)["flat_blow"].lag_days == 7


def test_unknown_words_in_lags_are_named() -> None:
    with pytest.raises(ValueError, match="step 'paint'"):
        step_lags(["paint"], True, catalogue=SEED)
    with pytest.raises(ValueError, match="cover 'foil'"):
        step_lags(["batt"], True, ["foil"], catalogue=SEED)
    with pytest.raises(ValueError, match="space 'roof'"):
        step_lags(["batt"], True, spaces=["roof"], catalogue=SEED)
    with pytest.raises(ValueError, match="fact 'rain'"):
        step_lags(["batt"], True, facts=["rain"], catalogue=SEED)
