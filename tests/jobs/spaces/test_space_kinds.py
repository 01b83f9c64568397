"""The form of each kind of space: to the row, to the estimator and back again."""

from decimal import Decimal
from typing import Any

import pytest

from contractor.models import Material
from jobs.estimates.takeoff import takeoff_of
from jobs.estimating import TakeoffError, estimate_takeoff
from jobs.models import Space
from jobs.spaces.forms.kinds import FORMS, measures_beyond
from jobs.spaces.forms.space import SpaceForm, only_missing
from jobs.spaces.forms.start import materials_for, new_space, remembered_code
from tests.people import Company, attic_make, job_make, site_make

# For each kind a form filled in whole, by the ways in which people write.
FILLED: dict[str, dict[str, str]] = {
    "attic_flat": {
        "area_ft2": "1,500",
        "attics": "900\n600",
        "target_r": "49",
        "board_in": "5/8",
        "framing_in": "24",
        "hatches": "2",
        "dam_ft": "12' 6\"",
        "masking_ft2": "80",
        "existing_r": "11",
        "existing_depth_in": "3 1/2",
        "existing_lb_per_ft3": "0.5",
        "heel_in": "14",
        "vent_in": "1",
        "pitch": "6/12",
        "early": "on",
        "note": "behind the stairs",
    },
    "slope_bays": {
        "bays": "22",
        "length_ft": "15' 8\"",
        "runs": "4 x 9.5\n2 x 9 @ 6/12",
        "lengths_ft": "12; 11.5; 8' 3\"",
        "depth_in": "2x10",
        "spacing_in": "16",
        "rafter_width_in": "1.5",
        "vent_in": "1",
        "lb_per_ft3": "3.5",
        "fill": "dense",
        "cover": "board",
        "board_in": "1/2",
        "target_r": "30",
        "masking_ft2": "200",
    },
    "walls": {
        "length_ft": "120",
        "height_ft": "8",
        "openings_ft2": "40",
        "openings": "36 x 48\n30 x 80",
        "spacing_in": "16",
        "stud_width_in": "1.5",
        "depth_in": "2x6",
        "framing_factor": "0.25",
        "waste": "0.05",
        "target_r": "21",
    },
    "rim": {"length_ft": "136", "height_in": "2x10", "spacing_in": "16", "depth_in": "3.5"},
    "knee_wall": {"area_ft2": "240", "spacing_in": "24", "depth_in": "5.5"},
    "floor": {"area_ft2": "600", "spacing_in": "16", "depth_in": "9.25", "target_r": "30"},
    "air_seal": {
        "length_ft": "220",
        "count": "38",
        "seal_pipe_hole": "6",
        "seal_duct_boot": "9",
        "seal_box": "14",
        "seal_chase": "8.5",
        "seal_flue": "1",
        "seal_hatch": "1",
    },
    "baffles": {"bays": "44", "length_ft": "7", "piece_ft": "4"},
}


def form_of(company: Company, space: Space, data: dict[str, Any] | None = None) -> SpaceForm:
    given = None if data is None else {"version": "1", "name": "space", **data}
    return FORMS[space.kind](given, space=space, version=1, materials=materials_for(space.kind))


def filled(company: Company, kind: str, **changes: str) -> SpaceForm:
    material = company.cellulose if kind in ("attic_flat", "slope_bays") else company.batts
    chosen = {} if kind in ("air_seal", "baffles") else {"material": str(material.pk)}
    return form_of(company, Space(kind=kind), {**chosen, **FILLED[kind], **changes})


@pytest.mark.parametrize("kind", FORMS)
def test_a_form_filled_in_whole_is_taken_by_the_estimator(company: Company, kind: str) -> None:
    form = filled(company, kind)
    assert form.is_valid(), form.errors
    estimate = estimate_takeoff(takeoff_of([form.as_space()], None))
    assert estimate.spaces[0].steps
    assert [name for name in estimate.not_used if name.startswith("spaces")] == []


@pytest.mark.parametrize("kind", FORMS)
def test_what_is_kept_fills_the_form_again_to_the_same(company: Company, kind: str) -> None:
    form = filled(company, kind)
    assert form.is_valid()
    kept = form.as_space()
    again = form_of(company, kept)
    shown = {field.name: field.value() for field in again}
    data = {name: str(value) for name, value in shown.items() if value not in (None, False, "")}
    second = form_of(company, kept, data | {"material": str(kept.material_id or "")})
    assert second.is_valid(), second.errors
    assert second.values() == form.values()


@pytest.mark.parametrize("kind", FORMS)
def test_every_field_stands_in_a_group_once(company: Company, kind: str) -> None:
    form = form_of(company, Space(kind=kind))
    placed = [name for group in form.groups for name in group.names]
    assert sorted(placed) == sorted(set(form.fields) - {"version"})


def test_measures_go_where_the_estimator_looks_for_them(company: Company) -> None:
    form = filled(company, "attic_flat")
    assert form.is_valid()
    values = form.values()
    assert values["area_ft2"] == 1500
    assert values["board_in"] == Decimal("0.625")
    assert values["details"] == {
        "attics": ["900", "600"],
        "hatches": 2,
        "dam_ft": "12.5",
        "masking_ft2": "80",
        "existing": {"r": "11", "depth_in": "3.5", "lb_per_ft3": "0.5"},
        "heel_in": "14",
        "early": True,
    }


def test_separate_attics_add_up_to_an_area_that_is_left_open(company: Company) -> None:
    form = filled(company, "attic_flat", area_ft2="", attics="900, 600.5")
    assert form.is_valid()
    assert form.values()["area_ft2"] == Decimal("1500.5")


def test_separate_attics_that_do_not_add_up_are_refused_at_their_field(company: Company) -> None:
    form = filled(company, "attic_flat", attics="900\n500")
    assert form.is_valid()
    assert refused(form) == {"attics": ["Must list areas whose sum is net area."]}


@pytest.mark.parametrize(
    ("kind", "changes", "field", "words"),
    [
        ("slope_bays", {"vent_in": "9.25"}, "vent_in", "leaves nothing of a 9.25 in rafter"),
        ("slope_bays", {"lb_per_ft3": "0"}, "lb_per_ft3", "expected more than 0 and at most 6"),
        ("slope_bays", {"lb_per_ft3": "6.1"}, "lb_per_ft3", "at most 6 lb/ft3"),
        ("slope_bays", {"runs": "4 x 2000"}, "runs", "2000 is out of range"),
        ("slope_bays", {"lengths_ft": "0"}, "lengths_ft", "0 is out of range"),
        ("slope_bays", {"rafter_width_in": "0"}, "rafter_width_in", "0 is out of range"),
        ("slope_bays", {"depth_in": ""}, "depth_in", "Is missing"),
        ("walls", {"openings_ft2": "9999"}, "openings_ft2", "Leaves nothing of a gross area"),
        ("walls", {"length_ft": "", "height_ft": ""}, "area_ft2", "Is missing"),
        ("walls", {"framing_factor": "0.9"}, "framing_factor", "0.9 is out of range"),
        ("rim", {"height_in": ""}, "area_ft2", "a run in ft with a height"),
        ("baffles", {"bays": "", "length_ft": ""}, "bays", "Is missing"),
        ("attic_flat", {"existing_r": "300"}, "existing_r", "300 is out of range"),
        ("attic_flat", {"heel_in": "1"}, "heel_in", "Leaves no room"),
        ("attic_flat", {"target_r": "90"}, "target_r", "chart"),
        ("air_seal", {"seal_box": "2000000"}, "seal_box", "2000000 is out of range"),
    ],
)
def test_a_refusal_lands_at_its_field_with_the_reason(
    company: Company, kind: str, changes: dict[str, str], field: str, words: str
) -> None:
    form = filled(company, kind, **changes)
    assert form.is_valid(), form.errors
    found = refused(form)
    assert list(found) == [field]
    assert words in found[field][0].replace("ft³", "ft3")


def refused(form: SpaceForm) -> dict[str, list[str]]:
    with pytest.raises(TakeoffError) as caught:
        estimate_takeoff(takeoff_of([form.as_space()], None))
    form.refuse(caught.value)
    return {name: [str(fault) for fault in faults] for name, faults in form.errors.items()}


@pytest.mark.parametrize(
    ("kind", "changes", "field"),
    [
        ("slope_bays", {"depth_in": "deep"}, "depth_in"),
        ("slope_bays", {"bays": "2.5"}, "bays"),
        ("slope_bays", {"runs": "22"}, "runs"),
        ("slope_bays", {"runs": "2.5 x 9"}, "runs"),
        ("slope_bays", {"lengths_ft": "12,11"}, "lengths_ft"),
        ("slope_bays", {"lengths_ft": "1\n" * 201}, "lengths_ft"),
        ("slope_bays", {"cover": "tin"}, "cover"),
        ("slope_bays", {"material": "424242"}, "material"),
        ("slope_bays", {"pitch": "1" * 61}, "pitch"),
        ("walls", {"openings": "36 by 48"}, "openings"),
        ("attic_flat", {"code_edition": "1999"}, "code_edition"),
        ("attic_flat", {"name": ""}, "name"),
        ("attic_flat", {"name": "x" * 81}, "name"),
        ("air_seal", {"count": "-1"}, "count"),
    ],
)
def test_what_cannot_be_read_is_said_at_its_field(
    company: Company, kind: str, changes: dict[str, str], field: str
) -> None:
    assert list(filled(company, kind, **changes).errors) == [field]


def test_only_loose_fill_goes_into_slopes(company: Company) -> None:
    assert list(filled(company, "slope_bays", material=str(company.batts.pk)).errors) == [
        "material"
    ]
    assert list(materials_for("air_seal")) == []
    foam = Material.objects.create(key="foam-1", name="Foam 1", kind="foam_can", can_board_ft=12)
    assert list(materials_for("air_seal")) == [foam]


def test_a_gable_house_gives_bays_and_run(company: Company) -> None:
    """28 x 40 ft at 24 in: 40 x 12 / 24 = 20 bays a side; half of 28 is the run. By hand."""
    house = {"bays": "", "length_ft": "", "runs": "", "lengths_ft": "", "pitch": "6/12"}
    form = filled(
        company,
        "slope_bays",
        **house,
        house_width_ft="28",
        house_length_ft="40",
        spacing_in="24",
    )
    assert form.is_valid()
    values = form.values()
    assert (values["bays"], values["run_ft"], values["pitch"]) == (40, 14, 6)
    assert "house_length_ft" not in values["details"]  # type: ignore[operator]


def test_a_part_of_a_bay_counts_whole_and_counted_bays_win(company: Company) -> None:
    more = {"length_ft": "", "runs": "", "lengths_ft": "", "pitch": "6", "house_width_ft": "28"}
    form = filled(company, "slope_bays", **more, bays="", house_length_ft="41", spacing_in="24")
    assert form.is_valid()
    assert form.values()["bays"] == 2 * 21
    form = filled(company, "slope_bays", **more, bays="7", house_length_ft="41")
    assert form.is_valid()
    assert form.values()["bays"] == 7


def test_air_sealing_needs_something_to_seal(company: Company) -> None:
    form = form_of(company, Space(kind="air_seal"), {})
    assert "Count at least one thing to seal." in str(form.errors["length_ft"])
    assert only_missing(form)
    assert not only_missing(filled(company, "slope_bays", bays="many"))


def test_items_that_the_form_does_not_ask_stay(company: Company) -> None:
    plate = {"kind": "top_plate", "ft": "12"}
    space = Space(kind="air_seal", details={"items": [plate, {"kind": "box", "count": 3}]})
    form = form_of(company, space, {"count": "5", "seal_box": "4"})
    assert form.is_valid()
    assert form.values()["details"] == {"items": [plate, {"kind": "box", "count": 4}]}


def test_details_that_the_form_does_not_ask_stay(company: Company) -> None:
    space = Space(kind="attic_flat", details={"remove_ft2": "100", "hatches": 1})
    form = form_of(company, space, {"area_ft2": "900", "target_r": "30"})
    assert form.is_valid()
    assert form.values()["details"] == {"remove_ft2": "100"}


def test_an_open_target_takes_the_code_s_figure(company: Company) -> None:
    """IECC 2021 table R402.1.3 (PNNL Building America Solution Center): ceiling, zone 5: R-60."""
    form = filled(
        company, "attic_flat", target_r="", code_edition="2021", code_zone="5", existing_r=""
    )
    assert form.is_valid()
    assert form.values()["target_r"] == 60
    assert form.code == {"edition": 2021, "zone": 5}
    assert form.values()["details"]["code"] == form.code  # type: ignore[index]


def test_a_marine_zone_four_counts_as_zone_five(company: Company) -> None:
    """IECC 2009 table 402.1.1, from memory: ceiling R-38 in zones 4 and 5, wall R-20 in 4C."""
    code = {"code_edition": "2009", "code_zone": "4", "code_marine": "on"}
    form = filled(company, "walls", **code)
    assert form.is_valid()
    assert form.code == {"edition": 2009, "zone": 4, "marine": True}


def test_the_code_of_the_branch_is_offered_and_not_copied(company: Company) -> None:
    branch = company.fairfield
    branch.code_edition, branch.climate_zone = 2018, 5
    branch.save()
    job = job_make(site_make(branch))
    code = remembered_code(job)
    assert code == {"edition": 2018, "zone": 5, "marine": False}
    space = Space(job=job, kind="attic_flat")
    data = {"version": "1", "name": "a", "area_ft2": "900", "code_edition": "2018"}
    form = FORMS["attic_flat"](
        {**data, "code_zone": "5"}, space=space, version=1, materials=materials_for("x"), code=code
    )
    assert form.is_valid()
    assert form.values()["target_r"] == 49
    assert form.values()["details"] == {}


def test_a_branch_without_a_code_remembers_the_newest(company: Company) -> None:
    job = job_make(site_make(company.fairfield))
    assert remembered_code(job) == {}
    attic = attic_make(job, company.cellulose)
    attic.details = {"code": {"edition": 2015, "zone": 6}}
    attic.save()
    assert remembered_code(job) == {"edition": 2015, "zone": 6}
    assert remembered_code(job_make(site_make(company.lowton))) == {}


def test_a_new_space_starts_with_the_usual_and_a_free_name(company: Company) -> None:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose, "slope bays")
    space = new_space(job, "slope_bays")
    assert space.pk is None
    assert (space.name, space.material) == ("slope bays 2", company.cellulose)
    assert (space.spacing_in, space.vent_in) == (16, 1)


def test_measures_beyond_the_columns_are_told_with_their_units(company: Company) -> None:
    form = filled(company, "slope_bays")
    assert form.is_valid()
    told = dict(measures_beyond(form.as_space()))
    assert told["Bays of mixed lengths"] == "4 x 9.5; 2 x 9 @ 6/12"
    assert told["Hip and valley bays"] == "12; 11.5; 8.25 ft"
    assert told["Rafter width"] == "1.5 in"
    assert measures_beyond(Space(kind="walls")) == []
