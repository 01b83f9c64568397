"""The estimate laid out for reading: hours by people, sums that may be made, gaps it survives."""

import pytest

from jobs.estimates.views import estimate_steps, job_totals, load_texts
from jobs.models import Space, Step
from jobs.spaces.views.measures import space_measures

pytestmark = pytest.mark.usefixtures("thursday_morning")


def step(kind: str = "flat_blow", **fields: object) -> Step:
    usual = {"crew_minutes": {"2": 165, "3": 158}, "person_minutes": 330, "loads": []}
    return Step(kind=kind, **{**usual, **fields})


def space(name: str = "attic", *entries: dict[str, object]) -> Space:
    return Space(name=name, kind="attic_flat", estimate={"steps": list(entries)})


def bags(item: str, count: int) -> dict[str, object]:
    return {"item": item, "quantity": count, "unit": "bags"}


def test_hours_of_each_crew_and_of_the_machine() -> None:
    entry = {"kind": "flat_blow", "quantity": 1500, "unit": "ft2", "machine_minutes": 140}
    (shown,) = estimate_steps([step()], [space("attic", entry), space("far attic", entry)])
    assert shown.crew_hours == [("2", "2.8"), ("3", "2.6")]
    assert shown.machine_minutes == 280
    assert [work.space.name for work in shown.works] == ["attic", "far attic"]
    assert shown.works[0].quantity == "1,500 ft²"


def test_bags_of_one_material_are_added_and_others_stand_apart() -> None:
    steps = [
        step("slope_blow", loads=[bags("cellulose", 30)]),
        step("flat_blow", loads=[bags("cellulose", 112), bags("fibre", 3)]),
        step("baffles", loads=[{"item": "baffles", "quantity": 40, "unit": "pieces"}]),
    ]
    totals = job_totals(estimate_steps(steps, []), 60)
    assert totals.bags == (("cellulose", "142 bags"), ("fibre", "3 bags"))
    assert totals.crew_hours == "8.2"  # 3 x 165 min = 8.25 h, to the even tenth
    assert totals.labour_hours == "17.5"  # 3 x 330 + 60 min
    assert load_texts(steps)[0] == ("cellulose", "142 bags")


def test_each_figure_keeps_its_formula_numbers_and_source() -> None:
    figure = {
        "figure": "bags",
        "value": 112,
        "unit": "bags",
        "formula": "pounds / bag_lb",
        "with_numbers": "2,800 / 25 = 112 bags",
        "source": "the bag's label",
    }
    entry = {"kind": "flat_blow", "quantity": 1, "unit": "ft2", "explain": [figure], "bags": 112}
    (shown,) = estimate_steps([step()], [space("attic", entry)])
    assert shown.works[0].figures[0].value == "112 bags"
    assert shown.works[0].figures[0].source == "the bag's label"
    assert ("Bags", "112") in shown.works[0].facts


def test_an_estimate_that_says_little_is_shown_with_little() -> None:
    (shown,) = estimate_steps([step(crew_minutes={})], [space("attic", {"kind": "flat_blow"})])
    assert shown.crew_hours == []
    assert shown.pair_minutes == 0
    assert shown.works[0].facts == ()
    assert estimate_steps([step()], [Space(name="x", kind="walls", estimate={})])[0].works == ()


def test_measures_are_said_with_their_units_and_gaps_left_out() -> None:
    measured = Space(name="a", kind="slope_bays", bays=22, length_ft=16, pitch=0, cover="net")
    assert space_measures(measured) == [
        ("Bays", "22"),
        ("Length", "16 ft"),
        ("Pitch", "0 in 12"),
        ("Cover", "net"),
    ]
