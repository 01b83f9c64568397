"""Importing sheets: what is new, what changes, what stands; all of a sheet or nothing."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.db import connection
from django.test.utils import CaptureQueriesContext

from contractor.access import Scope, scope_of
from contractor.models import Branch, Event, Material, UsualMaterial
from jobs.imports.plan import ImportPlan
from jobs.imports.queries.preview import import_preview
from jobs.imports.services import ImportRefused, import_apply
from jobs.models import Builder, Job, Site, Space, Step, Superintendent
from tests.jobs.sheets.samples import ATTIC, SLOPE, Row, csv_of, xlsx_of
from tests.people import ACTOR, NOW, Company, site_make

EVERYWHERE = Scope(all_branches=True)
FULL: dict[str, object] = {
    **ATTIC,
    "branch": "Fairfield yard",
    "superintendent": "Rosa Reyes",
    "superintendent_email": "rosa@hazel.example",
    "superintendent_phone": "515-555-0142",
    "address": "14 Quarry Lane",
    "latitude": "41.65",
    "longitude": "-93.7",
    "year_built": "",
    "ready_date": "2027-03-01",
    "promised_date": "2027-03-12",
    "note": "two hatches",
}
BOTH = [FULL, {**FULL, **SLOPE}]


def applied(*rows: Row, scope: Scope = EVERYWHERE) -> ImportPlan:
    return import_apply(content=csv_of(*rows), scope=scope, actor=ACTOR, now=NOW)


def everything() -> dict[str, list[dict[str, Any]]]:
    """Every row of every table."""
    models = [m for m in apps.get_models() if m._meta.app_label in ("contractor", "jobs")]
    return {m._meta.label: list(m._default_manager.order_by("pk").values()) for m in models}


def refused(*rows: Row, scope: Scope = EVERYWHERE) -> list[str]:
    """The errors of a sheet that must change nothing at all."""
    before = everything()
    with pytest.raises(ImportRefused) as refusal:
        applied(*rows, scope=scope)
    assert everything() == before
    return [str(error) for error in refusal.value.plan.errors]


def test_a_sheet_makes_builder_superintendent_site_job_and_spaces(company: Company) -> None:
    plan = applied(*BOTH)
    assert [job.title for job in plan.new] == ["Quarry Lane, Lot 14"]
    job = Job.objects.get()
    assert job.site.branch == company.fairfield
    assert job.site.builder.name == "Hazel Homes"
    assert job.site.superintendent is not None
    assert job.site.superintendent.email == "rosa@hazel.example"
    assert job.site.latitude == Decimal("41.65")
    assert (job.ready_date, job.promised_date) == (date(2027, 3, 1), date(2027, 3, 12))
    assert job.is_new_house
    assert [space.name for space in job.spaces.all()] == ["attic", "north slope"]
    assert job.spaces.get(name="attic").note == "two hatches"


def test_an_imported_job_is_estimated_and_has_its_conditions(company: Company) -> None:
    applied(*BOTH)
    job = Job.objects.get()
    assert [step.kind for step in job.steps.all()] == ["slope_blow", "flat_blow"]
    assert job.conditions.exists()
    assert all(space.estimate["steps"] for space in job.spaces.all())


def test_every_change_leaves_an_event(company: Company) -> None:
    applied(*BOTH)
    found = set(Event.objects.values_list("noun", "verb"))
    assert found == {
        ("builder", "created"),
        ("superintendent", "created"),
        ("site", "created"),
        ("job", "created"),
        ("space", "created"),
        ("job", "estimated"),
    }


@pytest.mark.parametrize("write", [csv_of, xlsx_of])
def test_the_same_sheet_again_changes_nothing(
    company: Company, write: Callable[..., bytes]
) -> None:
    content = write(*BOTH)
    import_apply(content=content, scope=EVERYWHERE, actor=ACTOR, now=NOW)
    before = everything()
    again = import_apply(content=content, scope=EVERYWHERE, actor=ACTOR, now=NOW)
    assert (len(again.new), len(again.changed), len(again.unchanged)) == (0, 0, 1)
    assert everything() == before


def test_the_same_rows_as_csv_and_as_workbook_are_the_same(company: Company) -> None:
    applied(*BOTH)
    workbook = xlsx_of(*[{**row, "ready_date": date(2027, 3, 1)} for row in BOTH])
    assert import_preview(content=workbook, scope=EVERYWHERE).changed == []


def test_a_preview_writes_nothing(company: Company) -> None:
    before = everything()
    plan = import_preview(content=csv_of(*BOTH), scope=EVERYWHERE)
    assert len(plan.new) == 1
    assert everything() == before


def test_a_changed_row_changes_its_space_and_says_so(company: Company) -> None:
    applied(*BOTH)
    kept = Step.objects.get(kind="flat_blow").pk
    plan = applied({**FULL, "area_ft2": 1600}, BOTH[1])
    (job,) = plan.changed
    (space,) = job.spaces_to_write
    assert [str(change) for change in space.changes] == ["area_ft2 1500 -> 1600"]
    assert Space.objects.get(name="attic").area_ft2 == 1600
    step = Step.objects.get(kind="flat_blow")
    assert step.pk == kept
    event = Event.objects.get(noun="space", verb="changed")
    assert event.what["area_ft2"] == ["1500", "1600"]


def test_a_changed_date_changes_the_job_and_not_its_spaces(company: Company) -> None:
    applied(*BOTH)
    version = Job.objects.get().version
    plan = applied(*[{**row, "ready_date": "2027-03-08"} for row in BOTH])
    (job,) = plan.changed
    assert job.spaces_to_write == ()
    assert [str(change) for change in job.changes] == ["ready_date 2027-03-01 -> 2027-03-08"]
    assert Job.objects.get().ready_date == date(2027, 3, 8)
    assert Job.objects.get().version == version + 1


def test_a_moved_site_and_a_new_phone_are_told_once(company: Company) -> None:
    second = {**FULL, "unit": "Lot 15"}
    applied(FULL, second)
    moved = {"latitude": "41.66", "superintendent_phone": "515-555-0143"}
    plan = applied({**FULL, **moved}, {**second, **moved})
    (job,) = plan.changed
    assert [change.field for change in job.told_of_site] == ["latitude", "phone"]
    assert Superintendent.objects.get().phone == "515-555-0143"


def test_another_superintendent_takes_the_site_over(company: Company) -> None:
    applied(FULL)
    applied({**FULL, "superintendent": "Ruth Roe", "superintendent_email": ""})
    site = Site.objects.get()
    assert site.superintendent is not None
    assert site.superintendent.name == "Ruth Roe"


def test_empty_cells_about_site_and_dates_say_nothing(company: Company) -> None:
    applied(FULL)
    empty = dict.fromkeys(
        ["latitude", "longitude", "address", "ready_date", "superintendent_email"], ""
    )
    assert applied({**FULL, **empty}).changed == []


def test_an_empty_measure_is_emptied(company: Company) -> None:
    applied({**FULL, **SLOPE, "vent_in": 2})
    applied({**FULL, **SLOPE, "vent_in": ""})
    assert Space.objects.get().vent_in is None


def test_a_column_that_is_not_there_leaves_what_stands(company: Company) -> None:
    applied(FULL)
    without = {k: v for k, v in FULL.items() if k not in ("board_in", "note", "year_built")}
    assert applied(without).changed == []


def test_an_empty_year_means_a_new_house(company: Company) -> None:
    applied({**FULL, "year_built": 1931})
    assert Job.objects.get().year_built == 1931
    applied(FULL)
    assert Job.objects.get().is_new_house


def test_a_row_that_is_gone_removes_nothing(company: Company) -> None:
    applied(*BOTH)
    assert applied(FULL).changed == []
    assert Space.objects.count() == 2


def test_a_new_row_of_a_known_job_adds_a_space(company: Company) -> None:
    applied(FULL)
    plan = applied(*BOTH)
    assert [job.title for job in plan.changed] == ["Quarry Lane, Lot 14"]
    assert [step.kind for step in Job.objects.get().steps.all()] == ["slope_blow", "flat_blow"]


def test_a_sheet_with_one_error_changes_nothing(company: Company) -> None:
    rows = [{**FULL, "unit": f"Lot {n}"} for n in range(4)]
    errors = refused(*rows, {**FULL, "unit": "Lot 4", "area_ft2": "abc"})
    assert len(errors) == 1
    assert errors[0].startswith('row 6, column area_ft2: "abc"; expected')


def test_errors_of_all_kinds_are_listed_together(company: Company) -> None:
    errors = refused(
        {**FULL, "area_ft2": "abc"},
        {**FULL, "unit": "Lot 2", "branch": "Farfield yard"},
        {**FULL, "unit": "Lot 3", "latitude": "41.9"},
        {**FULL, "unit": "Lot 4", "target_r": "99"},
        {**FULL, "unit": "Lot 5", "latitude": "41.8"},
    )
    assert [error.split(":")[0] for error in errors] == [
        "row 2, column area_ft2",
        "row 3, column branch",
        "row 5, column latitude",
        "row 5, column target_r",
        "row 6, column latitude",
    ]


def test_the_estimators_refusal_has_row_column_and_value(company: Company) -> None:
    (error,) = refused(FULL, {**FULL, "unit": "Lot 2", "target_r": 99})
    assert error.startswith('row 3, column target_r: "99"; R-99 is above')


def test_every_refused_space_is_named(company: Company) -> None:
    errors = refused(
        {**FULL, "target_r": 99},
        {**FULL, **SLOPE, "vent_in": 12},
        {**FULL, "space": "garage", "target_r": 98},
    )
    assert [error.split(":")[0] for error in errors] == [
        "row 2, column target_r",
        "row 3, column vent_in",
        "row 4, column target_r",
    ]


def test_a_refusal_of_a_space_that_stands_is_told_too(company: Company) -> None:
    applied(FULL)
    Space.objects.update(target_r=99)
    (error,) = refused({**FULL, **SLOPE})
    assert "attic cannot" in error


def test_differing_coordinates_of_a_site_are_an_error(company: Company) -> None:
    (error,) = refused(FULL, {**FULL, "unit": "Lot 2", "longitude": "-93.8"})
    assert error.startswith('row 3, column longitude: "-93.800000"; expected -93.700000, as in row')


def test_an_empty_and_a_named_branch_are_the_same_branch(company: Company) -> None:
    fairfield = scope_of(company.omar)
    (error,) = refused(FULL, {**FULL, "branch": ""}, scope=fairfield)
    assert "column space" in error


def test_an_empty_branch_takes_the_only_one(company: Company) -> None:
    applied({**FULL, "branch": ""}, scope=scope_of(company.lena))
    assert Job.objects.get().site.branch == company.lowton


def test_an_empty_branch_of_several_is_an_error_that_names_them(company: Company) -> None:
    (error,) = refused({**FULL, "branch": ""})
    assert error == 'row 2, column branch: ""; expected one of Fairfield yard, Lowton yard'


def test_a_branch_may_be_written_small(company: Company) -> None:
    applied({**FULL, "branch": "fairfield YARD"})
    assert Job.objects.get().site.branch == company.fairfield


def test_the_office_imports_into_its_own_branch_only(company: Company) -> None:
    (error,) = refused({**FULL, "branch": "Lowton yard"}, scope=scope_of(company.omar))
    assert error.endswith("expected one of Fairfield yard")
    assert "Lowton yard" not in error.partition(";")[2]


def test_nobody_in_particular_imports_nowhere(company: Company) -> None:
    (error,) = refused(FULL, scope=Scope())
    assert "none that you may use" in error


def test_a_company_without_branch_says_so(db: None) -> None:
    (error,) = refused(FULL)
    assert "none that you may use" in error
    assert not Branch.objects.exists()


def test_an_empty_material_takes_the_branchs_usual_one(company: Company) -> None:
    applied({**FULL, "material": ""})
    assert Space.objects.get().material == company.cellulose


def other_loose_fill() -> Material:
    return Material.objects.create(key="wool", name="Test wool", kind="loose_fill", bag_lb=30)


def test_without_a_usual_one_the_only_fitting_material_is_taken(company: Company) -> None:
    UsualMaterial.objects.all().delete()
    applied(FULL)
    assert Space.objects.get().material == company.cellulose


def test_with_several_to_choose_from_the_error_names_them(company: Company) -> None:
    UsualMaterial.objects.all().delete()
    other_loose_fill()
    (error,) = refused(FULL)
    assert error == 'row 2, column material: ""; expected one of cellulose, wool'


def test_without_any_fitting_material_the_error_says_so(company: Company) -> None:
    UsualMaterial.objects.all().delete()
    Material.objects.filter(kind="loose_fill").delete()
    (error,) = refused(FULL)
    assert "none is entered that fits" in error


@pytest.mark.parametrize("name", ["cellulose", "Test Cellulose", "CELLULOSE"])
def test_a_material_is_named_by_key_or_name(company: Company, name: str) -> None:
    applied({**FULL, "material": name})
    assert Space.objects.get().material == company.cellulose


def test_an_unknown_material_names_the_nearest(company: Company) -> None:
    (error,) = refused({**FULL, "material": "celulose"})
    assert "nearest: cellulose" in error


def test_batts_cannot_be_blown(company: Company) -> None:
    (error,) = refused({**FULL, "material": "batts"})
    assert error.startswith('row 2, column material: "Test batts"')


def test_air_sealing_and_baffles_take_their_figures_from_length_and_count(
    company: Company,
) -> None:
    seal = {**FULL, "space": "plates", "kind": "air_seal", "length_ft": 220, "count": 38}
    vents = {**FULL, "space": "vents", "kind": "baffles", "count": 44}
    applied(FULL, seal, vents)
    steps = {step.kind: step for step in Job.objects.get().steps.all()}
    assert {"item": "baffles", "quantity": 44, "unit": "pieces"} in steps["baffles"].loads
    because = " ".join(Space.objects.get(name="plates").estimate["steps"][0]["because"])
    assert "Top plate: 220" in because
    assert "Wire hole: 38" in because


@pytest.mark.parametrize("state", ["finished", "called_off"])
def test_a_job_that_is_not_open_is_not_changed(company: Company, state: str) -> None:
    applied(FULL)
    Job.objects.update(state=state)
    assert applied(FULL).unchanged
    (error,) = refused({**FULL, "area_ft2": 99})
    assert "expected no change" in error


def test_how_to_reach_a_person_of_another_branch_is_not_changed(company: Company) -> None:
    site_make(company.lowton, builder="Hazel Homes", superintendent="Rosa Reyes")
    (error,) = refused(
        {**FULL, "superintendent_phone": "515-555-0199"}, scope=scope_of(company.omar)
    )
    assert "column superintendent_phone" in error
    assert "0142" not in error
    applied({**FULL, "superintendent_phone": "515-555-0199"}, scope=scope_of(company.olive))
    assert Superintendent.objects.get().phone == "515-555-0199"


def test_a_builder_is_shared_by_branches(company: Company) -> None:
    applied(FULL, {**FULL, "branch": "Lowton yard"})
    assert Builder.objects.count() == 1
    assert Site.objects.count() == 2


def test_a_preview_takes_as_many_statements_for_ten_jobs_as_for_one(company: Company) -> None:
    rows = [{**FULL, "unit": f"Lot {n}", "site": f"Site {n}"} for n in range(10)]
    applied(*rows)
    counts = []
    for some in (rows[:1], rows):
        changed = [{**row, "area_ft2": 1700} for row in some]
        with CaptureQueriesContext(connection) as statements:
            import_preview(content=csv_of(*changed), scope=EVERYWHERE)
        counts.append(len(statements))
    assert counts[0] == counts[1]
