"""Saving, changing and removing a space; what is refused, and who was quicker."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from contractor.models import Event
from jobs.models import Job
from jobs.spaces.services import space_save
from tests.jobs.estimates.built import built
from tests.jobs.spaces.spaces import ATTIC, given, page_of, post_new
from tests.pages import marks, words
from tests.people import ACTOR, NOW, Company, attic_make, job_make, signed_in, site_make

pytestmark = pytest.mark.usefixtures("thursday_morning")


@pytest.fixture
def job(company: Company) -> Job:
    return job_make(site_make(company.fairfield))


# --- saving ----------------------------------------------------------------------------------


def test_a_space_is_saved_once_with_columns_and_details(company: Company, job: Job) -> None:
    post_new(company, job, "attic_flat", **ATTIC, hatches="2", early="on", note="north end")
    space = job.spaces.get()
    assert (space.area_ft2, space.board_in, space.note) == (1500, Decimal("0.625"), "north end")
    assert space.details == {"hatches": 2, "early": True}
    assert space.estimate["steps"][0]["bags"] == 112
    job.refresh_from_db()
    assert job.version == 2
    assert Event.objects.filter(noun="space", verb="created", user=company.esme).count() == 1


@pytest.mark.parametrize(
    ("kind", "data"),
    [
        ("walls", {"area_ft2": "900", "spacing_in": "16", "depth_in": "2x6", "target_r": "21"}),
        ("rim", {"length_ft": "136", "height_in": "9.25", "spacing_in": "16", "depth_in": "3.5"}),
        ("knee_wall", {"area_ft2": "240", "spacing_in": "24", "depth_in": "5.5"}),
        ("floor", {"area_ft2": "600", "spacing_in": "16", "depth_in": "9.25"}),
        ("air_seal", {"length_ft": "220", "count": "38", "seal_flue": "1", "material": ""}),
        ("baffles", {"count": "44"}),
    ],
)
def test_every_kind_is_measured_saved_and_opened_again(
    company: Company, job: Job, kind: str, data: dict[str, str]
) -> None:
    batts = {} if kind in ("air_seal", "baffles") else {"material": str(company.batts.pk)}
    answer = post_new(company, job, kind, **{"material": "", **batts, **data})
    assert "space is saved." in words(answer), words(answer)
    space = job.spaces.get()
    assert space.kind == kind
    opened = signed_in(company.esme).get(page_of(space))
    assert "Crew-hours of 2 people" in words(opened)
    for name, value in data.items():
        if value and "x" not in value:
            assert f'name="{name}" value="{value}"' in marks(opened)


def test_the_next_space_is_at_hand_after_saving(company: Company, job: Job) -> None:
    answer = post_new(company, job, "attic_flat", "another", **ATTIC)
    assert answer.redirect_chain[-1][0] == f"/jobs/{job.pk}/spaces/new/"
    assert "What is to be measured?" in words(answer)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"area_ft2": "-5"}, "Net area: “-5” is not a number"),
        ({"area_ft2": "0"}, "Net area: 0 is out of range"),
        ({"area_ft2": ""}, "Net area: Is missing"),
        ({"target_r": "90"}, "Target R-value:"),
        ({"name": ""}, "Name of the space: This field is required."),
        ({"name": "old"}, "This job has a space of that name already."),
        ({"version": ""}, "This field is required."),
        ({"version": "x"}, "Enter a whole number."),
        ({"note": "x" * 900}, "Note: Ensure this value has at most 200 characters"),
    ],
)
def test_what_is_refused_changes_nothing_and_stays_typed(
    company: Company, job: Job, changes: dict[str, str], said: str
) -> None:
    attic_make(job, company.cellulose, "old")
    answer = post_new(company, job, "attic_flat", **{**ATTIC, "hatches": "7", **changes})
    assert answer.status_code == 400
    page = words(answer)
    assert "Nothing was changed." in page
    assert said in page
    assert 'name="hatches" value="7"' in marks(answer)
    assert (job.spaces.count(), Event.objects.count()) == (1, 0)


def test_a_space_is_changed(company: Company) -> None:
    job = built(company)
    space = job.spaces.get(name="attic")
    data = given(company, job, **{**ATTIC, "area_ft2": "1200"}, name="attic over beds")
    answer = signed_in(company.esme).post(page_of(space), data, follow=True)
    assert "attic over beds is saved." in words(answer)
    space.refresh_from_db()
    # 1200 x 28/15 = 2240 lb; / 25 = 89.6, so 90 bags: by hand.
    assert (space.area_ft2, space.estimate["steps"][0]["bags"]) == (1200, 90)


def test_who_was_quicker_is_told_and_a_second_press_decides(company: Company) -> None:
    job = built(company)
    space = job.spaces.get(name="attic")
    values: dict[str, object] = {"area_ft2": Decimal(1700)}
    space_save(job_id=job.pk, version=1, space_id=space.pk, values=values, actor=ACTOR, now=NOW)
    data = given(company, job, **{**ATTIC, "area_ft2": "1200"}, name="attic")
    answer = signed_in(company.esme).post(page_of(space), data)
    page = words(answer)
    assert answer.status_code == 409
    assert f"{ACTOR.who} changed this job meanwhile: space changed: name attic; area ft2" in page
    assert "As it is now: Area 1,700 ft²" in page
    assert 'name="area_ft2" value="1200"' in marks(answer)
    space.refresh_from_db()
    assert space.area_ft2 == 1700
    found = re.search(r'name="version" value="(\d+)"', marks(answer))
    assert found
    again = signed_in(company.esme).post(page_of(space), data | {"version": found[1]})
    assert again.status_code == 302
    space.refresh_from_db()
    assert space.area_ft2 == 1200


def test_the_job_lists_all_that_is_to_be_loaded(company: Company, job: Job) -> None:
    """Bags, batts, foam, baffles, markers and dams of all the spaces of a house.

    1500 ft2 x 28/15 lb/ft2 / 25 lb = 112 bags; 1500 / 300 = 5 markers (IECC R303.1.1.1, one in
    300 ft2); one flue takes one tube of sealant and no foam. By hand.
    """
    spaces: dict[str, dict[str, str]] = {
        "attic_flat": {**ATTIC, "hatches": "2", "dam_ft": "12.5"},
        "walls": {"area_ft2": "1000", "spacing_in": "16", "depth_in": "3.5", "target_r": "13"},
        "air_seal": {"length_ft": "220", "seal_flue": "1", "material": ""},
        "baffles": {"count": "44"},
    }
    for kind, data in spaces.items():
        job.refresh_from_db()
        batts = {"material": str(company.batts.pk)} if kind == "walls" else {}
        assert post_new(company, job, kind, **{**batts, **data, "name": kind}).status_code == 200
    page = words(signed_in(company.omar).get(reverse("job", args=[job.pk])))
    assert "Top plate 220 ft" in page
    assert "Flues and chimneys 1" in page
    load = page[page.index("To load") :]
    for item in (
        "cellulose: 112 bags",
        "markers: 5 pieces",
        "dam: 13 ft",
        "hatch dams and lids: 2 pieces",
        "baffles: 44 pieces",
        "foam: 1 can",
        "fire-rated sealant: 1 tube",
    ):
        assert item in load
    # 1000 ft2 x 12 / 16 = 750 ft of a 15-in batt = 937.5 ft2; / 105 ft2 = 8.9, so 9 packages.
    assert "batts R-13 15 in: 9 packages" in load


# --- removing ----------------------------------------------------------------------------------


def test_a_space_is_removed_after_a_question(company: Company) -> None:
    job = built(company)
    space = job.spaces.get(name="north slope")
    address = reverse("space-remove", args=[job.pk, space.pk])
    client = signed_in(company.esme)
    asked = words(client.get(address))
    assert "Remove north slope?" in asked
    assert "Bays 22" in asked
    assert job.spaces.count() == 2
    answer = client.post(address, {"version": str(job.version)}, follow=True)
    assert "north slope is removed." in words(answer)
    assert [one.name for one in job.spaces.all()] == ["attic"]
    assert "slope_blow" not in {step.kind for step in job.steps.all()}


@pytest.mark.parametrize("version", ["", "0", "99", "x", "9" * 30, "²"])
def test_a_stale_removal_removes_nothing(company: Company, version: str) -> None:
    job = built(company)
    space = job.spaces.get(name="north slope")
    address = reverse("space-remove", args=[job.pk, space.pk])
    answer = signed_in(company.esme).post(address, {"version": version})
    assert answer.status_code == 409
    assert "changed this job meanwhile" in words(answer)
    assert job.spaces.count() == 2
