"""What a space would make of its job: the estimate, what is ready, whose refusal it is."""

from decimal import Decimal

import pytest

from jobs.estimates.services.estimate import job_estimate
from jobs.estimating import TakeoffError, space_read
from jobs.models import Condition, Job, Space
from jobs.spaces.preview import OtherSpaceRefused, space_preview
from tests.jobs.estimates.built import built
from tests.people import ACTOR, NOW, TODAY, Company, attic_make, job_make, site_make


@pytest.fixture
def job(company: Company) -> Job:
    return job_make(site_make(company.fairfield))


def attic(job: Job, company: Company, **values: object) -> Space:
    fields: dict[str, object] = {
        "job": job,
        "kind": "attic_flat",
        "name": "new attic",
        "area_ft2": Decimal(1500),
        "target_r": Decimal(49),
        "material": company.cellulose,
        "board_in": Decimal("0.625"),
        "framing_in": Decimal(24),
    }
    return Space(**{**fields, **values})


def test_it_says_what_saving_will_say(company: Company, job: Job) -> None:
    space = attic(job, company)
    preview = space_preview(job, space, today=TODAY)
    space.save()
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    space.refresh_from_db()
    assert preview.estimate == space_read(space.estimate)
    standing = {condition.code for condition in job.conditions.all()}
    assert {one.needed.code for one in preview.ready} <= standing


def test_a_changed_space_stands_in_the_place_of_its_row(company: Company) -> None:
    job = built(company)
    row = job.spaces.get(name="attic")
    changed = attic(job, company, name="attic", area_ft2=Decimal(3000))
    changed.pk = row.pk
    preview = space_preview(job, changed, today=TODAY)
    # 3000 ft2 x 28/15 lb/ft2 = 5600 lb; / 25 lb = 224 bags. By hand from the chart.
    assert preview.estimate.steps[0].facts["bags"] == 224
    row.refresh_from_db()
    assert row.area_ft2 == 1500


def test_what_is_there_keeps_its_state_and_what_is_new_is_owed(company: Company) -> None:
    job = built(company)
    job.conditions.filter(code="chases_capped").update(state=Condition.State.SEEN_DONE)
    states = {
        one.needed.code: (one.state, one.row is None)
        for one in space_preview(job, attic(job, company), today=TODAY).ready
    }
    assert states["chases_capped"] == ("seen_done", False)
    walls = Space(job=job, kind="walls", name="w", area_ft2=400, depth_in=6, spacing_in=16)
    ready = space_preview(job, walls, today=TODAY).ready
    assert {one.state for one in ready if one.row is None} == {"owed"}


def test_stops_come_first(company: Company, job: Job) -> None:
    gates = [one.needed.gate for one in space_preview(job, attic(job, company), today=TODAY).ready]
    order = ("stop", "law", "block", "warn", "close")
    assert gates == sorted(gates, key=order.index)
    assert gates[0] == "stop"


def test_a_refusal_of_this_space_is_its_own(company: Company, job: Job) -> None:
    attic_make(job, company.cellulose)
    with pytest.raises(TakeoffError) as refused:
        space_preview(job, attic(job, company, target_r=Decimal(90)), today=TODAY)
    assert refused.value.path == "spaces[0].target_r"


def test_a_refusal_of_another_space_names_that_one(company: Company, job: Job) -> None:
    other = attic_make(job, company.cellulose, "old attic")
    Space.objects.filter(pk=other.pk).update(target_r=90)
    with pytest.raises(OtherSpaceRefused) as refused:
        space_preview(job, attic(job, company), today=TODAY)
    assert refused.value.space == other
    assert "target_r" in str(refused.value.error)


def test_a_name_that_is_taken_is_this_space_s_fault(company: Company, job: Job) -> None:
    attic_make(job, company.cellulose, "new attic")
    with pytest.raises(TakeoffError) as refused:
        space_preview(job, attic(job, company), today=TODAY)
    assert refused.value.path.endswith(".id")


def test_defaults_of_other_spaces_are_not_told(company: Company) -> None:
    preview = space_preview(job := built(company), attic(job, company, material=None), today=TODAY)
    paths = [one.path for one in preview.assumed]
    assert "spaces[0].material" in paths
    assert not any(path.startswith(("spaces[1]", "spaces[2]")) for path in paths)
