"""Settings of a yard and facts of materials, held by the database whoever writes them."""

from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from contractor.models import Branch, CavityRow, ChartRow, CodeEdition, Material, Role
from jobs.estimating import EDITIONS
from tests.pages import words
from tests.people import Company, signed_in, user_make

pytestmark = pytest.mark.django_db


def test_a_new_yard_has_no_heat_no_code_and_no_hose_of_its_own() -> None:
    branch = Branch.objects.create(name="New yard")
    assert (branch.heat_on, branch.heat_outdoor_f) == (False, None)
    assert (branch.code_edition, branch.climate_zone) == (None, None)
    assert (branch.hose_ft, branch.lift_ft) == (None, None)


def test_a_new_yard_eats_in_the_fifth_hour_and_tells_a_window() -> None:
    branch = Branch.objects.create(name="New yard")
    assert (branch.meal_minutes, branch.meal_latest_minutes) == (30, 300)
    assert (branch.window_before_minutes, branch.window_after_minutes) == (30, 90)


def test_the_editions_are_those_whose_tables_are_known() -> None:
    assert set(CodeEdition.values) == set(EDITIONS)


@pytest.mark.parametrize(
    "values",
    [
        {"heat_on": True},
        {"heat_on": True, "heat_outdoor_f": 141},
        {"code_edition": 2021},
        {"climate_zone": 4},
        {"code_edition": 2021, "climate_zone": 0},
        {"code_edition": 1999, "climate_zone": 4},
        {"meal_minutes": 121},
        {"meal_latest_minutes": 59},
        {"meal_latest_minutes": 721},
        {"window_before_minutes": 241},
        {"window_after_minutes": 29},
        {"window_after_minutes": 481},
    ],
)
def test_half_a_setting_is_refused_by_form_and_by_row(values: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        Branch(name="Odd", **values).full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        Branch.objects.create(name="Odd", **values)
    assert not Branch.objects.exists()


@pytest.mark.parametrize(
    "values", [{"settle": Decimal("0.91")}, {"settled_lb_per_ft3": 0}, {"can_board_ft": -1}]
)
def test_facts_of_a_material_are_held_by_the_row(values: dict[str, Any]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Material.objects.create(key="x", name="X", kind="batt", **values)


def test_lines_of_charts_stand_once(company: Company) -> None:
    cavity = {"depth_in": 8, "r": 28, "lb_per_ft3": 3}
    CavityRow.objects.create(material=company.cellulose, **cavity)
    with pytest.raises(IntegrityError), transaction.atomic():
        CavityRow.objects.create(material=company.cellulose, **cavity)
    with pytest.raises(IntegrityError), transaction.atomic():
        ChartRow.objects.create(
            material=company.cellulose, r=49, initial_in=16, settled_in=14, lb_per_ft2="2"
        )


def test_an_owner_sets_them_in_the_admin_too(company: Company) -> None:
    owner = user_make("oda", Role.OWNER, None, is_staff=True)
    page = signed_in(owner).get(f"/admin/contractor/branch/{company.fairfield.pk}/change/")
    assert "Climate zone of the yard" in words(page)
    assert "California Labor Code 512(a)" in words(page)
