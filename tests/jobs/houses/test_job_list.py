"""The list of jobs: who sees it, what it says, its filters, and telling where a site lies."""

from decimal import Decimal

import pytest
from django.urls import reverse

from contractor.models import Event
from jobs.models import Condition, Job, Site
from scheduling.models import WeekVersion
from tests.jobs.estimates.built import built
from tests.pages import HOSTILE, inline_faults, marks, statements, status_by_role, words
from tests.people import MONDAY, Company, job_make, signed_in, site_make
from tests.scheduling.houses import version_make, visit_make

pytestmark = pytest.mark.usefixtures("thursday_morning")

LIST = reverse("job-list")


def test_who_sees_the_list(company: Company) -> None:
    assert status_by_role(company, LIST) == {
        "olive": 200,
        "omar": 200,
        "esme": 200,
        "cleo": 404,
        "saul": 404,
        "lena": 200,
        "lars": 404,
        "nobody": 302,
    }


def test_a_job_stands_there_with_its_readiness_in_words(company: Company) -> None:
    built(company)
    page = words(signed_in(company.omar).get(LIST))
    assert "Quarry Lane 1, Lot 1 Hazel Homes" in page
    assert "doubtful, 0 of " in page
    assert "house said to be ready Mon Mar 1" in page
    assert "Mon Mar 1 Fri Mar 12 not yet" in page


def test_another_branch_s_jobs_are_not_there(company: Company) -> None:
    built(company)
    assert "Quarry Lane" not in words(signed_in(company.lena).get(LIST))
    assert "Quarry Lane" in words(signed_in(company.olive).get(LIST))


def test_where_a_job_stands_on_the_plan(company: Company) -> None:
    job = built(company)
    draft = version_make(company, WeekVersion.State.DRAFT)
    visit_make(draft, company.north, MONDAY, job, {"flat_blow": 100})
    page = words(signed_in(company.omar).get(LIST))
    assert "Mon Mar 1 · North draft flat blow" in page


@pytest.mark.parametrize(
    ("query", "shown"),
    [
        ({"q": "lot 2"}, {"Lot 2"}),
        ({"q": "hazel"}, {"Lot 1", "Lot 2", "Lot 3"}),
        ({"ready": "hatched"}, {"Lot 3"}),
        ({"ready": "dashed"}, {"Lot 2"}),
        ({"ready": "solid"}, {"Lot 1"}),
        ({"ready": "purple"}, {"Lot 1", "Lot 2", "Lot 3", "Lot 4"}),
        ({"state": "finished"}, set()),
        ({"builder": "x'; --"}, {"Lot 1", "Lot 2", "Lot 3", "Lot 4"}),
        ({"site": "99999999999999999999"}, {"Lot 1", "Lot 2", "Lot 3", "Lot 4"}),
        ({"q": "\x00" + "ü" * 500}, set()),
        ({"page": "-3"}, {"Lot 1", "Lot 2", "Lot 3", "Lot 4"}),
    ],
)
def test_filters(company: Company, query: dict[str, str], shown: set[str]) -> None:
    ready, doubtful, not_ready = (built(company, f"Lot {n}") for n in (1, 2, 3))
    Condition.objects.filter(job=ready).update(state=Condition.State.SEEN_DONE)
    Job.objects.filter(pk=not_ready.pk).update(ready_date=None)
    job_make(site_make(company.fairfield, "Mill Street", builder="Otter Creek"), "Lot 4")
    page = words(signed_in(company.omar).get(LIST, query))
    found = {unit for unit in ("Lot 1", "Lot 2", "Lot 3", "Lot 4") if f", {unit} " in page}
    if query.get("ready") == "solid":
        found -= {"Lot 4"}  # it has no condition at all, and so nothing holds it up
    assert found == shown
    assert doubtful.pk


def test_the_filter_of_a_builder(company: Company) -> None:
    built(company)
    other = job_make(site_make(company.fairfield, "Mill Street", builder="Otter Creek"), "Lot 4")
    page = words(signed_in(company.omar).get(LIST, {"builder": other.site.builder_id}))
    assert "Mill Street, Lot 4" in page
    assert "Quarry Lane 1, Lot 1" not in page


def test_statements_do_not_grow_with_the_jobs(company: Company) -> None:
    client = signed_in(company.omar)
    built(company, "Lot 1")
    with statements() as one:
        client.get(LIST)
    few = one()
    for n in range(2, 8):
        built(company, f"Lot {n}")
    with statements() as many:
        client.get(LIST)
    assert many() == few
    assert few <= 15


def test_no_inline_style_or_script_and_hostile_names_are_only_text(company: Company) -> None:
    site = site_make(company.fairfield, HOSTILE[:100], builder=HOSTILE)
    job = built(company, HOSTILE[:60], site=site)
    Condition.objects.filter(job=job).update(reason=HOSTILE)
    response = signed_in(company.omar).get(LIST, {"q": HOSTILE})
    assert inline_faults(response) == []
    assert "<script>alert" not in marks(signed_in(company.omar).get(LIST))
    assert inline_faults(signed_in(company.omar).get(LIST)) == []


def unplaced(company: Company) -> Site:
    return site_make(company.fairfield, "Elm Court", latitude=None, longitude=None)


def test_a_site_without_a_place_is_asked_for_and_told(company: Company) -> None:
    site, client = unplaced(company), signed_in(company.esme)
    assert "1 site has no place on the map" in words(client.get(LIST))
    address = reverse("site-place", args=[site.pk])
    answer = client.post(address, {"latitude": "41.6", "longitude": "-93.6"}, follow=True)
    assert "Elm Court has its place on the map." in words(answer)
    assert "no place on the map:" not in words(answer)
    site.refresh_from_db()
    assert (site.latitude, site.longitude) == (Decimal("41.6"), Decimal("-93.6"))
    assert Event.objects.filter(noun="site", noun_id=str(site.pk)).count() == 1


@pytest.mark.parametrize(
    ("latitude", "longitude", "named"),
    [
        ("91", "-93", "Latitude"),
        ("41.6", "200", "Longitude"),
        ("north", "-93", "Latitude"),
        ("", "", "Latitude"),
        ("nan", "1", "Latitude"),
        ("41.12345678901", "1", "Latitude"),
    ],
)
def test_a_wrong_place_names_the_field_and_changes_nothing(
    company: Company, latitude: str, longitude: str, named: str
) -> None:
    site = unplaced(company)
    answer = signed_in(company.omar).post(
        reverse("site-place", args=[site.pk]), {"latitude": latitude, "longitude": longitude}
    )
    assert answer.status_code == 400
    assert f"{named}:" in words(answer)
    site.refresh_from_db()
    assert site.latitude is None
    assert not Event.objects.exists()


def test_who_may_not_tell_a_place_finds_nothing(company: Company) -> None:
    address = reverse("site-place", args=[unplaced(company).pk])
    place = {"latitude": "41", "longitude": "-93"}
    assert signed_in(company.lena).post(address, place).status_code == 404
    assert signed_in(company.cleo).post(address, place).status_code == 404
    assert signed_in(company.omar).get(address).status_code == 405
