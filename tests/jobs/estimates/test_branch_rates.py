"""Which record holds for a step, and what of a branch's rates reaches the takeoff."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from contractor.models import Branch, LearnedRate, Machine, Material
from jobs.estimates.branch_rates import BranchRates, branch_rates, step_materials
from jobs.estimates.takeoff import takeoff_of
from jobs.models import Space
from tests.pages import statements
from tests.people import NOW, Company

WOOL = Material(key="wool", kind="loose_fill")
PAPER = Material(key="paper", kind="loose_fill")
BATTS = Material(key="batts", kind="batt")
BLOWER = Machine(name="Blue", open_lb_per_hour=1200, dense_lb_per_hour=420)


def rate(material: str, machine: str, factor: str) -> LearnedRate:
    return LearnedRate(
        step_kind="flat_blow",
        material_key=material,
        machine_name=machine,
        minutes_factor=Decimal(factor),
        sigma=Decimal("0.3"),
        jobs=4,
    )


def rates(*learned: LearnedRate, **more: Any) -> BranchRates:
    keyed = {(r.step_kind, r.material_key, r.machine_name): r for r in learned}
    return BranchRates(learned=keyed, **more)


def space(kind: str, material: Material | None) -> Space:
    return Space(name=kind, kind=kind, material=material)


@pytest.mark.parametrize(
    ("material", "machine", "factor"),
    [
        ("wool", "Blue", "1.4"),
        ("wool", "Old", "1.3"),
        ("paper", "Blue", "1.2"),
        ("paper", "Old", "1.1"),
        ("", "", "1.1"),
    ],
)
def test_the_narrowest_record_that_has_a_job_holds(
    material: str, machine: str, factor: str
) -> None:
    found = rates(
        rate("wool", "Blue", "1.4"),
        rate("wool", "", "1.3"),
        rate("", "Blue", "1.2"),
        rate("", "", "1.1"),
    ).of_step("flat_blow", material, machine)
    assert found
    assert found.minutes_factor == Decimal(factor)


def test_no_record_is_no_factor() -> None:
    assert rates().of_step("flat_blow", "wool", "Blue") is None
    assert "learned" not in takeoff_of([], BLOWER, rates())


def test_each_kind_of_step_has_the_one_material_of_its_spaces() -> None:
    spaces = [
        space("attic_flat", WOOL),
        space("slope_bays", WOOL),
        space("walls", BATTS),
        space("rim", WOOL),
        space("baffles", BATTS),
        space("knee_wall", None),
    ]
    found = step_materials(spaces)
    assert found == {
        "flat_blow": "wool",
        "slope_blow": "wool",
        "batt": "batts",
        "dense_fill": "wool",
        "baffles": "batts",
    }


def test_two_materials_in_one_kind_of_step_are_none_in_particular() -> None:
    assert step_materials([space("attic_flat", WOOL), space("attic_flat", PAPER)]) == {}


def test_pins_and_the_yard_lie_where_the_takeoff_has_them() -> None:
    branch = Branch(hose_ft=150, lift_ft=20, heat_on=True, heat_outdoor_f=95)
    pinned = {
        "hand.baffle_minutes": (Decimal("5.5000"), "timed"),
        "machine.feed_bags_per_hour": (Decimal(50), "one arm"),
        "learned.batt": (Decimal("0.9"), "new knives"),
    }
    takeoff = takeoff_of(
        [], BLOWER, BranchRates(pinned=pinned, branch=branch, today=date(2027, 3, 1))
    )
    assert takeoff["hand"] == {"baffle_minutes": {"value": "5.5", "pinned_because": "timed"}}
    machine: Any = takeoff["machine"]
    assert machine["feed_bags_per_hour"] == {"value": "50", "pinned_because": "one arm"}
    assert (machine["hose_ft"], machine["lift_ft"]) == (150, 20)
    assert machine["lb_per_hour"]["open"] == {"value": 1200, "source": "machine Blue"}
    assert takeoff["heat"] == {"on": True, "outdoor_f": 95}
    assert takeoff["date"] == "2027-03-01"
    learned = {"batt": {"minutes_factor": "0.9", "pinned_because": "new knives"}}
    assert takeoff["learned"] == learned


def test_bare_rates_keep_pins_and_hose_and_drop_what_was_learned_and_heat() -> None:
    branch = Branch(hose_ft=150, heat_on=True, heat_outdoor_f=95)
    pinned = {"hand.baffle_minutes": (Decimal(5), "x"), "learned.batt": (Decimal(2), "y")}
    bare = rates(rate("", "", "2"), pinned=pinned, branch=branch).bare()
    takeoff: Any = takeoff_of([], BLOWER, bare)
    assert "learned" not in takeoff
    assert "heat" not in takeoff
    assert takeoff["machine"]["hose_ft"] == 150
    assert "baffle_minutes" in takeoff["hand"]


@pytest.mark.django_db
def test_the_rates_of_a_branch_are_two_statements(company: Company) -> None:
    LearnedRate.objects.create(
        branch=company.lowton,
        step_kind="batt",
        minutes_factor=1,
        sigma=Decimal("0.3"),
        jobs=1,
        learned_at=NOW,
    )
    with statements() as count:
        found = branch_rates(company.fairfield, NOW.date())
        assert count() == 2
    assert found.learned == {}
