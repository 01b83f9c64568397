"""The office's forms: what they take and what they say to the rest."""

from datetime import date

import pytest

from scheduling.weeks.forms import ChangeForm, PlanForm, StopMoveForm, WeekFilter, WholeWeekForm
from tests.people import Company


def test_revisions_are_read_by_week() -> None:
    form = ChangeForm({"expected": ["2027-W09=4", "2027-W10=0"]})
    assert form.is_valid()
    assert form.cleaned_data["expected"] == {"2027-W09": 4, "2027-W10": 0}


@pytest.mark.parametrize("text", ["2027-W09", "2027-W54=1", "W09=1", "2027-W09=x", "=1"])
def test_a_revision_of_another_form_is_named(text: str) -> None:
    form = ChangeForm({"expected": [text]})
    assert not form.is_valid()
    assert text in form.errors["expected"][0]
    assert "2027-W09=4" in form.errors["expected"][0]


@pytest.mark.parametrize(
    ("data", "field"),
    [
        ({"weeks": "0", "seconds": "20"}, "weeks"),
        ({"weeks": "7", "seconds": "20"}, "weeks"),
        ({"weeks": "2", "seconds": "0"}, "seconds"),
        ({"weeks": "2", "seconds": "601"}, "seconds"),
        ({"weeks": "2", "seconds": "soon"}, "seconds"),
        ({}, "weeks"),
    ],
)
def test_a_plan_has_its_limits(data: dict[str, str], field: str) -> None:
    form = PlanForm(data)
    assert not form.is_valid()
    assert field in form.errors


def test_a_plan_of_two_weeks_in_twenty_seconds() -> None:
    form = PlanForm({"weeks": "2", "seconds": "20"})
    assert form.is_valid()
    assert form.cleaned_data == {"weeks": 2, "seconds": 20}


def test_a_filter_may_be_empty() -> None:
    form = WeekFilter({})
    assert form.is_valid()
    assert form.cleaned_data == {"weeks": 1, "crew": None, "posted": False}


@pytest.mark.parametrize("page", ["2027-W99", "week 9"])
def test_the_page_to_go_back_to_is_a_week(page: str) -> None:
    assert not WholeWeekForm({"expected": ["2027-W09=4"], "page": page}).is_valid()


def test_a_move_offers_the_branchs_active_crews(company: Company) -> None:
    company.south.active = False
    company.south.save()
    form = StopMoveForm(branch=company.fairfield)
    form.offer([date(2027, 3, 1)])
    page = str(form["crew"]) + str(form["day"])
    assert "North" in page
    assert "South" not in page
    assert "Lowton" not in page
    assert "Monday, March 1" in page
