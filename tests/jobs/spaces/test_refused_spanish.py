"""What the estimator refuses of a space is told at its field in the reader's language."""

import re

import pytest
from django.utils import translation

from contractor.models import Material
from jobs.estimating import TakeoffError, estimate_takeoff
from jobs.estimating.reading import MeasureName
from jobs.models import Space
from jobs.spaces.forms.blown import AtticForm, SlopeForm
from jobs.spaces.forms.space import SpaceForm
from jobs.wording import sentence_text

ENGLISH = re.compile(r"\b(is|missing|expected|than|leaves|the|of|not|nearest|number)\b")
ATTIC = {"id": "a", "kind": "attic_flat", "area_ft2": 1000, "target_r": 49}
SLOPE = {"id": "s", "kind": "slope_bays", "bays": 10, "length_ft": 14, "depth_in": 9.25}
WALL = {"id": "w", "kind": "walls", "area_ft2": 900, "depth_in": 3.5}
MATERIALS = {"own": {"kind": "loose_fill", "bag_lb": 25, "chart": [
    {"r": 49, "initial_in": 10, "settled_in": 14, "lb_per_ft2": 1},
]}}  # fmt: skip

WRONG = [
    {"spaces": [{**ATTIC, "area_ft2": None}]},
    {"spaces": [{**ATTIC, "area_ft2": "much"}]},
    {"spaces": [{**ATTIC, "area_ft2": "1/0"}]},
    {"spaces": [{**ATTIC, "area_ft2": True}]},
    {"spaces": [{**ATTIC, "area_ft2": 10**12}]},
    {"spaces": [{**ATTIC, "area_ft2": -1}]},
    {"spaces": [{**ATTIC, "target_r": 199}]},
    {"spaces": [{**ATTIC, "heel_in": 0.5}]},
    {"spaces": [{**ATTIC, "attics": [1, 2]}]},
    {"spaces": [{**ATTIC, "kind": None}]},
    {"spaces": [{**ATTIC, "kind": "atic_flat"}]},
    {"spaces": [ATTIC, ATTIC]},
    {"spaces": [5]},
    {"spaces": None},
    {"spaces": [SLOPE | {"depth_in": None}]},
    {"spaces": [SLOPE | {"vent_in": 10}]},
    {"spaces": [SLOPE | {"rafter_width_in": 20}]},
    {"spaces": [SLOPE | {"length_ft": None, "run_ft": 10}]},
    {"spaces": [SLOPE | {"bays": 1.5}]},
    {"spaces": [WALL | {"stud_width_in": 20}]},
    {"spaces": [WALL | {"openings_ft2": 900}]},
    {"spaces": [WALL | {"depth_in": 1, "material": "batt"}]},
    {"spaces": [{"id": "x", "kind": "air_seal"}]},
    {"spaces": [{"id": "x", "kind": "air_seal", "items": [{"kind": "top_plate", "count": 1}]}]},
    {"spaces": [ATTIC], "materials": MATERIALS},
    {"spaces": [ATTIC], "code": {"edition": 1999, "zone": 4}},
    {"spaces": [ATTIC], "code": {"edition": 2021, "zone": 9}},
    {"spaces": [ATTIC], "people": 2.5},
    {"spaces": [ATTIC], "heat": {"on": "yes"}},
    {"spaces": [ATTIC], "air_seal": {"flue": {"board_ft": 1}}},
]


@pytest.mark.parametrize("takeoff", WRONG, ids=lambda one: str(one)[:70])
def test_each_refusal_of_the_estimator_has_its_spanish(takeoff: dict[str, object]) -> None:
    with pytest.raises(TakeoffError) as refused:
        estimate_takeoff({"format": "takeoff/1", **takeoff})
    error = refused.value
    with translation.override("es"):
        spanish = sentence_text(error.sentence)
    assert spanish != error.reason
    assert ENGLISH.search(spanish) is None, spanish


def bare(form: type[SpaceForm]) -> SpaceForm:
    return form(space=Space(), version=0, materials=Material.objects.none())


def test_a_form_names_measures_by_its_own_labels() -> None:
    with pytest.raises(TakeoffError) as refused:
        estimate_takeoff({"format": "takeoff/1", "spaces": [SLOPE | {"vent_in": 10}]})
    form = bare(SlopeForm)
    label = str(form.fields["depth_in"].label).lower()
    assert form.spoken(refused.value.sentence) == (
        f"A vent space of 10 in leaves nothing of a 9.25 in rafter; expected less than {label}."
    )
    with translation.override("es"):
        assert form.spoken(refused.value.sentence).startswith("Un espacio de ventilación de 10")


@pytest.mark.parametrize(("value", "is_missing"), [(None, True), (-1, False)])
def test_what_is_missing_is_known_without_reading_words(value: object, is_missing: bool) -> None:
    with pytest.raises(TakeoffError) as refused:
        estimate_takeoff({"format": "takeoff/1", "spaces": [{**ATTIC, "area_ft2": value}]})
    assert refused.value.is_missing is is_missing


def test_only_names_of_measures_become_labels() -> None:
    form = bare(AtticForm)
    assert form._word("area_ft2") == "area_ft2"
    assert form._word(MeasureName("area_ft2")) == str(form.fields["area_ft2"].label).lower()
