"""Space rows as a takeoff, refusals as fields, estimates as steps: pure mappings."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from contractor.models import ChartRow, Machine, Material
from jobs.crew_minutes import CrewMinutes
from jobs.estimates.outcome import job_steps, setup_person_minutes, space_warnings
from jobs.estimates.takeoff import field_refused, takeoff_of, usual_machine
from jobs.estimating import Estimate, Load, TakeoffError, estimate_takeoff, kept_file, space_read
from jobs.models import Space
from tests.people import Company

BLOWER = Machine(name="Blower 1", open_lb_per_hour=1200, dense_lb_per_hour=420)


def space(kind: str, name: str = "space", **values: object) -> Space:
    return Space(kind=kind, name=name, **values)


def attic(**values: object) -> Space:
    fields: dict[str, object] = {"area_ft2": Decimal("1500.000"), "target_r": Decimal(49)}
    return space("attic_flat", "attic", **{**fields, **values})


def test_measures_are_handed_on_exactly_and_empty_ones_not_at_all() -> None:
    takeoff = takeoff_of([attic(board_in=Decimal("0.625"))], None)
    assert takeoff == {
        "format": "takeoff/1",
        "materials": {},
        "spaces": [
            {
                "id": "attic",
                "kind": "attic_flat",
                "area_ft2": "1500",
                "target_r": "49",
                "board_in": "0.625",
            }
        ],
    }


def test_air_sealing_is_feet_of_plate_and_holes() -> None:
    found = takeoff_of([space("air_seal", length_ft=Decimal(220), count=38)], None)["spaces"]
    items = [{"kind": "top_plate", "ft": "220"}, {"kind": "wire_hole", "count": 38}]
    assert found == [{"id": "space", "kind": "air_seal", "items": items}]


def test_counted_items_beyond_the_sheet_s_follow_its_feet_and_holes() -> None:
    boots = {"kind": "duct_boot", "count": 3}
    row = space("air_seal", length_ft=Decimal(220), details={"items": [boots]})
    spaces: Any = takeoff_of([row], None)["spaces"]
    (found,) = spaces
    assert found["items"] == [{"kind": "top_plate", "ft": "220"}, boots]


def test_measures_beyond_the_columns_go_in_by_their_names_and_a_column_wins() -> None:
    details = {"hatches": 2, "area_ft2": "9", "code": {"edition": 2021}, "kind": "walls"}
    spaces: Any = takeoff_of([attic(details=details)], None)["spaces"]
    (found,) = spaces
    assert found["hatches"] == 2
    assert (found["area_ft2"], found["kind"]) == ("1500", "attic_flat")
    assert "code" not in found


def test_baffles_are_pieces_and_need_no_material() -> None:
    steel = Material(key="x", kind="batt")
    estimate = estimate_takeoff(takeoff_of([space("baffles", count=44, material=steel)], None))
    (step,) = job_steps(estimate)
    assert (step.kind, step.machine_kind) == ("baffles", "")
    assert step.loads == (Load("baffles", 44, "pieces"),)


def test_a_cover_is_of_slopes_only() -> None:
    assert "cover" not in str(takeoff_of([attic(cover="net")], None))
    assert "'cover': 'net'" in str(takeoff_of([space("slope_bays", cover="net")], None))


def test_the_machine_gives_both_rates_with_its_name() -> None:
    machine = takeoff_of([], BLOWER)["machine"]
    assert machine == {
        "lb_per_hour": {
            "open": {"value": 1200, "source": "machine Blower 1"},
            "dense": {"value": 420, "source": "machine Blower 1"},
        }
    }


def test_the_chart_of_the_material_rules(company: Company) -> None:
    """1500 ft2 x 2 lb/ft2 / 30 lb = 100 bags (worked by hand)."""
    wool = Material.objects.create(key="wool", name="Test wool", kind="loose_fill", bag_lb=30)
    ChartRow.objects.create(
        material=wool, r=49, initial_in=17, settled_in=15, lb_per_ft2="2", bags_per_1000_ft2="66.67"
    )
    estimate = estimate_takeoff(takeoff_of([attic(material=wool)], BLOWER))
    assert job_steps(estimate)[0].loads[0] == Load("wool", 100, "bags")


def test_batts_are_batts(company: Company) -> None:
    wall = space("walls", area_ft2=Decimal(800), depth_in=Decimal("5.5"), material=company.batts)
    (step,) = job_steps(estimate_takeoff(takeoff_of([wall], BLOWER)))
    assert step.kind == "batt"


def test_a_yard_without_machine_has_no_usual_one(company: Company) -> None:
    assert usual_machine(company.fairfield) == company.blower
    company.fairfield.machines.update(active=False)
    assert usual_machine(company.fairfield) is None


def refusal(*spaces: Space) -> tuple[str, str]:
    with pytest.raises(TakeoffError) as error:
        estimate_takeoff(takeoff_of(spaces, None))
    found = field_refused(error.value, spaces)
    return found.space.name, found.field


def test_a_refusal_is_laid_at_its_space_and_field() -> None:
    slope = {"bays": 4, "length_ft": Decimal(16), "depth_in": Decimal(9)}
    seal = space("air_seal", "seal")
    assert refusal(attic(), space("slope_bays", "s", **slope, vent_in=Decimal(9))) == (
        "s",
        "vent_in",
    )
    assert refusal(attic(target_r=Decimal(99))) == ("attic", "target_r")
    assert refusal(attic(area_ft2=None)) == ("attic", "area_ft2")
    assert refusal(attic(), seal) == ("seal", "length_ft")
    assert refusal(attic(), space("baffles", "vents")) == ("vents", "bays")


def test_a_refused_chart_is_laid_at_the_material_of_its_space(company: Company) -> None:
    row = company.cellulose.chart.get(r=49)
    row.lb_per_ft2 = "heavy"
    row.save()
    sealed = space("air_seal", "seal", count=3)
    assert refusal(sealed, attic(material=company.cellulose)) == ("attic", "material")


def of_steps(*steps: dict[str, object]) -> Estimate:
    """An estimate of spaces that have one step each."""
    empty = estimate_takeoff({"format": "takeoff/1", "spaces": []})
    return replace(empty, spaces=tuple(space_read({"steps": [step]}) for step in steps))


def test_minutes_of_a_step_are_summed_before_they_are_rounded() -> None:
    step = {"kind": "flat_blow", "crew_minutes": {"2": 10.4, "3": 10.2}, "person_minutes": 20.4}
    other = {**step, "crew_minutes": {"1": 5, "2": 10.4}, "loads": []}
    loads = [{"item": "cellulose", "quantity": 3, "unit": "bags"}]
    (found,) = job_steps(of_steps({**step, "loads": loads}, other))
    assert found.crew_minutes == CrewMinutes({2: 21})
    assert found.person_minutes == 41
    assert found.loads == (Load("cellulose", 3, "bags"),)
    assert found.machine_kind == "blower"


def test_minutes_that_floats_make_a_little_more_are_not_a_minute_more() -> None:
    step = {"kind": "batt", "crew_minutes": {"2": 0.1}, "person_minutes": 0.1, "loads": []}
    assert job_steps(of_steps(*[step] * 30))[0].person_minutes == 3


def test_warnings_of_one_code_are_one() -> None:
    doubt = {"code": "chart_row", "source": "s", "holds": False, "step": "flat_blow"}
    holding = {**doubt, "text": "b.", "holds": True, "step": None}
    (found,) = space_warnings(space_read({"warnings": [{**doubt, "text": "a."}, holding]}))
    assert (found.text, found.holds, found.step_kinds) == ("a. b.", True, ("flat_blow",))


def test_with_a_space_go_the_defaults_taken_for_it_and_no_others() -> None:
    estimate = estimate_takeoff(takeoff_of([attic(), space("baffles", "vents", count=3)], BLOWER))
    kept: Any = kept_file(estimate, 0)
    assert kept["id"] == "attic"
    assert all(entry["path"].startswith("spaces[0]") for entry in kept["assumed"])
    assert setup_person_minutes(estimate) > 0
