"""Minutes by crew, person-minutes, spreads, what was learned, heat, visits and totals."""

from statistics import NormalDist
from typing import Any

import pytest

from tests.jobs.estimating.takeoffs import ATTIC, BAFFLES, SEAL, SLOPE, WALL, estimate, step

NO_MARKERS: dict[str, Any] = {"hand": {"marker_minutes": 0}}


def test_hand_work_divides_by_the_people_with_a_loss() -> None:
    table = step(BAFFLES, hand={"baffle_minutes": 10, "loss_per_person": 0.05})["crew_minutes"]
    assert table["1"] == 220
    assert table["2"] == 110
    assert table["3"] == pytest.approx(220 / (3 * 0.95), rel=1e-4)
    assert table["4"] == pytest.approx(220 / (4 * 0.90), rel=1e-4)


def test_a_blow_has_never_fewer_than_two() -> None:
    blow = step(ATTIC, people=1, **NO_MARKERS)
    assert (blow["people"], blow["person_minutes"]) == (2, 280)
    assert "1" not in blow["crew_minutes"]


def test_a_larger_crew_is_paid_while_the_machine_runs() -> None:
    blow = step(ATTIC, people=3, **NO_MARKERS)
    assert (blow["crew_minutes"]["3"], blow["person_minutes"]) == (140, 420)


def test_the_table_reaches_the_takeoff_s_crew() -> None:
    assert list(step(WALL, people=6)["crew_minutes"]) == ["1", "2", "3", "4", "5", "6"]


def test_the_80_per_cent_value_is_a_lognormal_s() -> None:
    # Against the standard library's normal distribution: four of five jobs lie below.
    blow = step(ATTIC, learned={"flat_blow": {"minutes_factor": 1, "sigma": 0.25, "jobs": 9}})
    below = NormalDist().inv_cdf(0.8)
    assert blow["minutes_80"] / blow["minutes_50"] == pytest.approx(2.718281828 ** (below * 0.25))


def test_the_prior_spread_comes_from_the_stated_span() -> None:
    # Eight of ten jobs between 3 and 8: the span is 2 x 1.2816 spreads wide.
    blow = step(ATTIC)
    width = 2 * NormalDist().inv_cdf(0.9)
    assert blow["sigma"] == pytest.approx(0.9808 / width, abs=1e-4)  # ln(8/3)
    assert "3 to 8 labour-hours" in blow["sigma_source"]


def test_80_per_cent_values_of_one_job_add() -> None:
    found = estimate(ATTIC, SLOPE)
    steps = [each for space in found["spaces"] for each in space["steps"]]
    assert found["totals"]["crew_minutes_80"] == pytest.approx(
        sum(each["minutes_80"] for each in steps), abs=0.001
    )


def test_what_was_learned_is_a_factor_on_all_minutes() -> None:
    learned = {"slope_blow": {"minutes_factor": 1.5, "sigma": 0.2, "jobs": 4}}
    before, after = step(SLOPE), step(SLOPE, learned=learned)
    for name in ("machine_minutes", "person_minutes", "minutes_50", "minutes_per_bay"):
        assert after[name] == pytest.approx(1.5 * before[name], rel=1e-4)
    assert after["sigma_source"] == "learned from 4 jobs"
    assert after["bags"] == before["bags"]


def test_a_learned_use_of_bags_is_for_the_truck_alone() -> None:
    learned = {"flat_blow": {"minutes_factor": 1, "jobs": 4, "bags_factor": 1.1}}
    found = estimate(ATTIC, learned=learned)
    assert found["loads"][0] == {"item": "cellulose", "quantity": 124, "unit": "bags"}
    assert found["totals"]["bags"] == {"cellulose": 112}
    assert found["spaces"][0]["steps"][0]["bags"] == 112


def test_the_load_is_never_under_the_chart() -> None:
    learned = {"flat_blow": {"bags_factor": 0.8}}
    assert estimate(ATTIC, learned=learned)["loads"][0]["quantity"] == 112


def test_heat_is_off_by_default_and_adds_rests_in_the_attic() -> None:
    cool = step(ATTIC, **NO_MARKERS)
    found = estimate(ATTIC, WALL, heat={"on": True, "outdoor_f": 92}, **NO_MARKERS)
    blow, batts = (space["steps"][0] for space in found["spaces"])
    assert blow["crew_minutes"]["2"] == cool["crew_minutes"]["2"] + 15
    assert blow["person_minutes"] == cool["person_minutes"] + 30
    assert blow["machine_minutes"] == cool["machine_minutes"]
    assert batts["minutes_50"] == step(WALL)["minutes_50"]
    assert (found["heat"]["attic_f"], found["heat"]["start_early"]) == (132, True)
    assert "heat" not in estimate(ATTIC)


def test_set_up_counts_once_for_each_visit() -> None:
    setup = {"visit": {"setup_person_minutes": 60}}
    one = estimate(ATTIC, SLOPE, **setup)
    assert one["visit"] == {"setup_person_minutes": 60}
    assert one["totals"]["person_minutes"] == pytest.approx(
        one["totals"]["work_person_minutes"] + 60
    )
    two = estimate({**WALL, "early": True}, ATTIC, **setup)
    assert [visit["name"] for visit in two["visits"]] == ["early", "main"]
    assert two["totals"]["person_minutes"] - two["totals"]["work_person_minutes"] == 120
    assert two["spaces"][0]["steps"][0]["visit"] == "early"


def test_set_up_for_hand_work_is_less_than_for_a_blow() -> None:
    assert estimate(SEAL)["visit"]["setup_person_minutes"] == 30
    assert estimate(ATTIC)["visit"]["setup_person_minutes"] == 120


def test_the_drive_is_worked_time_of_all_who_ride() -> None:
    found = estimate(ATTIC, visit={"setup_person_minutes": 0, "drive_minutes": 40}, people=3)
    totals = found["totals"]
    assert totals["drive_person_minutes"] == 120
    assert totals["paid_person_minutes"] == pytest.approx(totals["person_minutes"] + 120)


def test_totals_of_the_file_s_own_example() -> None:
    slope = {**SLOPE, "lb_per_ft3": 2.5}
    totals = estimate(ATTIC, slope)["totals"]
    assert totals["bags"] == {"cellulose": 142}
    assert totals["machine_minutes"] == pytest.approx(176.55, abs=0.01)


def test_every_figure_repeats_its_reckoning() -> None:
    found = estimate(ATTIC, {**SLOPE, "cover": "net"}, WALL, SEAL, BAFFLES)
    for space in found["spaces"]:
        for each in space["steps"]:
            names = [entry["figure"] for entry in each["explain"]]
            assert {"crew_minutes", "minutes_80"} <= set(names)
            for entry in each["explain"]:
                assert entry["source"]
                assert all(name in entry["formula"] for name in entry["inputs"])
                assert "{" not in entry["with_numbers"]


def test_explained_figures_are_those_of_the_step() -> None:
    blow = step(SLOPE)
    explained = {entry["figure"]: entry["value"] for entry in blow["explain"]}
    for name in ("volume_ft3", "pounds", "bags", "machine_minutes"):
        assert explained[name] == blow[name]
    assert explained["crew_minutes"] == blow["minutes_50"]
