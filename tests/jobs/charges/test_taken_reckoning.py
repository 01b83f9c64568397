"""What taken-over work takes, reckoned by hand beside the code: cover, fastenings, cents."""

from decimal import Decimal
from fractions import Fraction
from math import ceil, sqrt
from typing import Any

import pytest

from jobs.conditions.taken_over import WORKS, like, work_of
from jobs.estimating import estimate_takeoff, kept_file
from jobs.estimating.taken_over import (
    MeasureError,
    Taken,
    charge_cents,
    cover_fastenings,
    taken_check,
    taken_cover,
    taken_takeoff,
)


def cover(taken: Taken) -> dict[str, int]:
    return {one.figure: one.value for one in taken_cover(taken)}


def step(taken: Taken) -> dict[str, Any]:
    kept: Any = kept_file(estimate_takeoff(taken_takeoff(taken)), 0)
    return dict(kept["steps"][0])


def test_an_open_chase_of_twelve_square_feet() -> None:
    # 12 x 1.1 = 13.2, so 14 ft2; root of 12 is 3.464, x 4 x 2 = 27.7, so 28 (common practice).
    taken = Taken("chase", Decimal(12))
    assert cover(taken) == {"rigid_cover": 14, "fastenings": 28}
    # 12 ft2 x 6 minutes and 12 x 0.3 board-feet of a can of 14: the defaults of TAKEOFF.md.
    assert (step(taken)["person_minutes"], step(taken)["foam_cans"]) == (72, 1)


def test_a_flue_gets_metal_and_fire_rated_sealant_and_no_foam() -> None:
    # IRC R302.11: around vents, chimneys and flues an approved material; foam burns.
    taken = Taken("chase", Decimal(0), flues=2)
    assert cover(taken) == {"sheet_metal": 8, "fastenings": 16}
    found = step(taken)
    assert (found["person_minutes"], found["foam_board_ft"]) == (60, 0)
    assert found["loads"] == [{"item": "fire-rated sealant", "quantity": 2, "unit": "tubes"}]


def test_plates_by_feet_boxes_and_bays_by_count() -> None:
    assert step(Taken("top_plate", Decimal(100)))["person_minutes"] == 30  # 0.3 a foot
    assert step(Taken("box", Decimal(14)))["person_minutes"] == 42  # 3 each
    bays = step(Taken("bays", Decimal(20)))
    assert (bays["person_minutes"], bays["pieces"]) == (90, 20)  # 4.5 each, 3 to 6
    long_bays = step(Taken("bays", Decimal(20), length_ft=Decimal(9)))
    assert long_bays["pieces"] == 60  # three pieces of 4 ft to the bay
    for measure in ("top_plate", "box", "bays"):
        assert cover(Taken(measure, Decimal(10))) == {}


def test_every_figure_names_its_source() -> None:
    taken = Taken("chase", Decimal(30), flues=1)
    assert all(one.source for one in taken_cover(taken))
    assert all(figure["source"] for figure in step(taken)["explain"])


@pytest.mark.parametrize("hundredths", [1, 25, 99, 100, 150, 640, 900, 1201, 200_000])
def test_fastenings_are_every_six_inches_around_a_square(hundredths: int) -> None:
    area = hundredths / 100
    assert cover_fastenings(Fraction(hundredths, 100)) == ceil(round(8 * sqrt(area), 9))


@pytest.mark.parametrize(
    ("taken", "field"),
    [
        (Taken("chase", Decimal(0)), "amount"),
        (Taken("chase", Decimal(-1)), "amount"),
        (Taken("chase", Decimal("NaN")), "amount"),
        (Taken("chase", Decimal("Infinity")), "amount"),
        (Taken("chase", Decimal(2001)), "amount"),
        (Taken("box", Decimal("2.5")), "amount"),
        (Taken("bays", Decimal(4), flues=1), "flues"),
        (Taken("chase", Decimal(4), flues=11), "flues"),
        (Taken("chase", Decimal(4), length_ft=Decimal(4)), "length_ft"),
        (Taken("bays", Decimal(4), length_ft=Decimal(0)), "length_ft"),
        (Taken("asbestos", Decimal(4)), "measure"),
    ],
)
def test_a_measure_that_cannot_be_is_named(taken: Taken, field: str) -> None:
    with pytest.raises(MeasureError) as refused:
        taken_check(taken)
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("minutes", "rate", "cents"), [(60, 3800, 3800), (72, 3800, 4560), (1, 3030, 51), (1, 3029, 50)]
)
def test_cents_are_whole_and_half_a_cent_goes_up(minutes: int, rate: int, cents: int) -> None:
    assert charge_cents(minutes, rate) == cents


def test_which_step_it_becomes_depends_on_what_waits() -> None:
    found = {
        ("chase", "batt"): "cap_chases",
        ("top_plate", "batt"): "seal_plates",
        ("top_plate", "flat_blow"): "seal_attic",
        ("box", "dense_fill"): "seal_boxes",
        ("bays", "flat_blow"): "set_baffles",
        ("bays", "slope_blow"): "set_chutes",
    }
    for (measure, held), kind in found.items():
        work = work_of(measure, [held])
        assert work is not None
        assert (work.kind, work.measure) == (kind, measure)
    assert work_of("", ["batt"]) is None
    assert {like(kind) for kind in WORKS} == {"air_seal", "baffles"}
    assert like("flat_blow") == "flat_blow"
