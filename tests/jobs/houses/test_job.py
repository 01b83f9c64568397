"""Jobs, sites and spaces: made, changed, refused."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from contractor.models import Event
from jobs.desk.services import Stale
from jobs.estimates.services.estimate import job_estimate
from jobs.estimating import TakeoffError
from jobs.houses.services.customer import site_place
from jobs.houses.services.job import job_create, job_update
from jobs.models import Builder, Job, Site, Space, Superintendent
from jobs.spaces.services import space_remove, space_save
from tests.people import ACTOR, NOW, Company, attic_make, job_make, site_make


def created(company: Company, **values: object) -> Job:
    fields: dict[str, object] = {
        "branch": company.fairfield,
        "builder": "Hazel Homes",
        "site": "Quarry Lane",
        "unit": "Lot 14",
        **values,
    }
    return job_create(**fields, actor=ACTOR, now=NOW)  # type: ignore[arg-type]


@pytest.fixture
def job(company: Company) -> Job:
    return job_make(site_make(company.fairfield))


def update(job: Job, version: int = 1, **changes: object) -> Job:
    return job_update(job_id=job.pk, version=version, changes=changes, actor=ACTOR, now=NOW)


def save(job: Job, version: int = 1, space_id: int | None = None, **values: object) -> Space:
    return space_save(
        job_id=job.pk, version=version, space_id=space_id, values=values, actor=ACTOR, now=NOW
    )


def test_a_job_is_made_with_all_that_it_hangs_on(company: Company) -> None:
    job = created(
        company,
        superintendent="Rosa Reyes",
        superintendent_email="rosa@hazel.example",
        latitude=Decimal("41.65"),
        longitude=Decimal("-93.7"),
        ready_date=date(2027, 3, 1),
    )
    assert job.site.superintendent is not None
    assert job.site.superintendent.email == "rosa@hazel.example"
    assert [event.verb for event in Event.objects.all()] == ["created"] * 4


def test_a_second_job_takes_builder_and_site_that_are_there(company: Company) -> None:
    created(company)
    created(company, unit="Lot 15")
    assert (Builder.objects.count(), Site.objects.count(), Job.objects.count()) == (1, 1, 2)


@pytest.mark.parametrize(
    "values",
    [
        {"unit": "Lot 14"},
        {"unit": "Lot 15", "year_built": 1600},
        {"unit": "Lot 15", "site": "New Lane", "latitude": Decimal(91), "longitude": Decimal(0)},
        {"unit": "Lot 15", "site": "New Lane", "latitude": Decimal(41)},
        {"unit": "Lot 15", "superintendent": "R", "superintendent_email": "no address"},
        {"unit": "x" * 61},
        {"unit": "Lot 15", "builder": ""},
    ],
)
def test_what_cannot_be_right_is_refused_whole(company: Company, values: dict[str, object]) -> None:
    created(company)
    counts = [m.objects.count() for m in (Builder, Superintendent, Site, Job, Event)]
    with pytest.raises(ValidationError):
        created(company, **values)
    assert [m.objects.count() for m in (Builder, Superintendent, Site, Job, Event)] == counts


def test_changed_dates_raise_the_version_and_leave_an_event(job: Job) -> None:
    changed = update(job, ready_date=date(2027, 3, 8))
    assert changed.version == 2
    assert Event.objects.get().what == {"ready_date": ["2027-03-01", "2027-03-08"]}


def test_what_does_not_differ_changes_nothing(job: Job) -> None:
    assert update(job, ready_date=job.ready_date).version == 1
    assert not Event.objects.exists()


def test_an_old_version_is_told_the_present_one(job: Job) -> None:
    update(job, ready_date=date(2027, 3, 8))
    with pytest.raises(Stale) as stale:
        update(job, ready_date=date(2027, 3, 9))
    assert stale.value.present.ready_date == date(2027, 3, 8)


@pytest.mark.parametrize("changes", [{"year_built": 1600}, {"state": "lost"}, {"unit": "x" * 61}])
def test_bad_values_of_a_job_are_refused(job: Job, changes: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        update(job, **changes)
    job.refresh_from_db()
    assert (job.version, job.state) == (1, "open")


def test_only_what_a_job_has_can_be_changed(job: Job) -> None:
    with pytest.raises(TypeError, match="site"):
        update(job, site=3)


def test_an_old_house_has_other_conditions(job: Job, company: Company) -> None:
    attic_make(job, company.cellulose)
    new = set(job_estimate(job_id=job.pk, actor=ACTOR, now=NOW).conditions.values_list("code"))
    old = set(update(job, year_built=1931).conditions.values_list("code"))
    assert new != old


def test_a_place_is_set_once(job: Job) -> None:
    for _ in range(2):
        site_place(
            site_id=job.site_id,
            latitude=Decimal("41.7"),
            longitude=Decimal("-93.8"),
            actor=ACTOR,
            now=NOW,
        )
    assert Site.objects.get().latitude == Decimal("41.7")
    assert Event.objects.get().verb == "placed"


def test_a_place_off_the_earth_is_refused(job: Job) -> None:
    with pytest.raises(ValidationError):
        site_place(
            site_id=job.site_id, latitude=Decimal(95), longitude=Decimal(0), actor=ACTOR, now=NOW
        )
    assert Site.objects.get().latitude == Decimal("41.65")


ATTIC: dict[str, Any] = {
    "name": "attic",
    "kind": "attic_flat",
    "area_ft2": Decimal(1500),
    "target_r": Decimal(49),
}


def test_a_saved_space_is_estimated_at_once(job: Job, company: Company) -> None:
    space = save(job, **ATTIC, material=company.cellulose)
    assert space.estimate["steps"][0]["bags"] == 112
    job.refresh_from_db()
    assert job.version == 2
    assert job.steps.get().kind == "flat_blow"


def test_a_changed_space_is_estimated_anew(job: Job, company: Company) -> None:
    space = save(job, **ATTIC, material=company.cellulose)
    again = save(job, version=2, space_id=space.pk, area_ft2=Decimal(3000))
    assert again.estimate["steps"][0]["bags"] == 224
    events = Event.objects.count()
    save(job, version=3, space_id=space.pk, area_ft2=Decimal(3000))
    assert Event.objects.count() == events


@pytest.mark.parametrize(
    ("values", "error"),
    [
        ({**ATTIC, "area_ft2": Decimal(-1)}, ValidationError),
        ({**ATTIC, "kind": "cellar"}, ValidationError),
        ({**ATTIC, "name": ""}, ValidationError),
        ({**ATTIC, "target_r": Decimal(199)}, TakeoffError),
        ({**ATTIC, "area_ft2": None}, TakeoffError),
    ],
)
def test_bad_measures_are_refused_and_change_nothing(
    job: Job, company: Company, values: dict[str, Any], error: type[Exception]
) -> None:
    with pytest.raises(error):
        save(job, **values, material=company.cellulose)
    job.refresh_from_db()
    assert job.version == 1
    assert not Space.objects.exists()
    assert not Event.objects.exists()


def test_a_space_of_another_job_is_not_there(job: Job, company: Company) -> None:
    other = attic_make(job_make(job.site, "Lot 2"), company.cellulose)
    with pytest.raises(Space.DoesNotExist):
        save(job, space_id=other.pk, area_ft2=Decimal(1))


def test_a_removed_space_takes_its_step_along(job: Job, company: Company) -> None:
    space = save(job, **ATTIC, material=company.cellulose)
    space_remove(job_id=job.pk, version=2, space_id=space.pk, actor=ACTOR, now=NOW)
    assert not job.steps.exists()
    assert Event.objects.filter(noun="space", verb="removed").exists()


def test_an_old_version_removes_nothing(job: Job, company: Company) -> None:
    space = save(job, **ATTIC, material=company.cellulose)
    with pytest.raises(Stale):
        space_remove(job_id=job.pk, version=1, space_id=space.pk, actor=ACTOR, now=NOW)
    assert Space.objects.filter(pk=space.pk).exists()
