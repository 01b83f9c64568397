"""Pages of the catalogue and of a job's own list: who sees, who changes, what is refused."""

import pytest
from django.urls import reverse

from jobs.catalogue.forms import CatalogueItemForm
from jobs.conditions.guard import is_guarded
from jobs.conditions.seed import ENTRIES, SEED
from jobs.estimates.services.estimate import job_estimate
from jobs.models import CatalogueItem, Job
from tests.pages import HOSTILE, Reply, inline_faults, statements, status_by_role, words
from tests.people import ACTOR, NOW, Company, attic_make, job_make, signed_in, site_make

pytestmark = pytest.mark.django_db


def item_of(code: str) -> CatalogueItem:
    return CatalogueItem.objects.get(code=code)


def filled(item: CatalogueItem, **changes: object) -> dict[str, object]:
    """The form of an entry as a browser posts it back: what is empty or not ticked is left out."""
    initial = {**CatalogueItemForm(item=item).initial, **changes}
    return {
        name: value
        for name, value in initial.items()
        if value is not False and value not in (None, "", [])
    }


def post(company: Company, item: CatalogueItem, **changes: object) -> Reply:
    address = reverse("catalogue-change", args=[item.pk])
    return signed_in(company.omar).post(address, filled(item, **changes))


def test_the_desk_reads_the_catalogue_and_the_office_changes_it(company: Company) -> None:
    desk = {"olive", "omar", "esme", "lena"}
    for address in (
        reverse("catalogue"),
        reverse("catalogue-item", args=[item_of("lead_rule").pk]),
    ):
        found = status_by_role(company, address)
        assert {name for name, status in found.items() if status == 200} == desk
    found = status_by_role(company, reverse("catalogue-new"))
    assert {name for name, status in found.items() if status == 200} == desk - {"esme"}
    page = signed_in(company.esme).get(reverse("catalogue-item", args=[item_of("lead_rule").pk]))
    assert "The office changes the catalogue." in words(page)


def test_every_entry_stands_under_its_gate_with_its_source(company: Company) -> None:
    browser = signed_in(company.omar)
    with statements() as count:
        answer = browser.get(reverse("catalogue"))
        assert count() <= 5
    page = words(answer)
    for entry in SEED:
        assert entry.name in page
        assert entry.consequence in page
        assert entry.source in page
    assert inline_faults(answer) == []
    assert page.index("stop: safety or law") < page.index("close: needed to finish")


@pytest.mark.parametrize(
    ("query", "there", "gone"),
    [
        ("gate=stop", "junctions_covered", "permit_issued"),
        ("owed_by=roofer", "roof_dried_in", "permit_issued"),
        ("houses=old", "lead_rule", "roof_dried_in"),
        ("space=walls", "plates_sealed", "attic_access"),
        ("q=isocyanates", "foam_reentry", "permit_issued"),
    ],
)
def test_filters(company: Company, query: str, there: str, gone: str) -> None:
    page = words(signed_in(company.omar).get(f"/catalogue/?{query}"))
    assert ENTRIES[there].name in page
    assert ENTRIES[gone].name not in page
    assert "Show all" in page


def test_what_makes_no_sense_in_a_filter_is_left_out(company: Company) -> None:
    page = words(signed_in(company.omar).get("/catalogue/?gate=hard&owed_by=mason&space=roof"))
    assert all(entry.name in page for entry in SEED)
    none = words(signed_in(company.omar).get("/catalogue/?q=unicorn"))
    assert "Nothing in the catalogue is like that." in none


@pytest.mark.parametrize("entry", SEED, ids=lambda entry: entry.code)
def test_a_form_posted_back_as_it_came_changes_nothing(company: Company, entry: object) -> None:
    found = next(one for one in SEED if one is entry)
    item = item_of(found.code)
    assert post(company, item).status_code == 302
    assert item_of(found.code).entry == found
    assert item_of(found.code).version == 1


def test_words_and_days_are_changed_by_the_form(company: Company) -> None:
    item = item_of("truck_access")
    answer = post(company, item, name="hose reaches", lead_days=2, holds=["flat_blow"])
    assert answer.status_code == 302
    item.refresh_from_db()
    assert (item.name, item.lead_days, item.holds, item.version) == (
        "hose reaches", 2, ["flat_blow"], 2,
    )  # fmt: skip


def test_weakening_a_stop_is_refused_in_a_clear_sentence(company: Company) -> None:
    item = item_of("no_live_knob_and_tube")
    answer = post(company, item, gate="block")
    assert answer.status_code == 400
    page = words(answer)
    assert "Gate: this stop is about safety, and nobody may weaken it" in page
    assert "Nothing was changed." in page
    assert item_of("no_live_knob_and_tube").gate == "stop"


def test_a_guarded_entry_has_no_button_to_retire_it(company: Company) -> None:
    for code in ("lead_rule", "truck_access"):
        page = words(
            signed_in(company.omar).get(reverse("catalogue-item", args=[item_of(code).pk]))
        )
        assert ("Retire" in page) != is_guarded(code)
    answer = signed_in(company.olive).post(
        reverse("catalogue-retire", args=[item_of("lead_rule").pk]), {"version": "1"}
    )
    assert answer.status_code == 400
    assert not item_of("lead_rule").retired


def test_an_entry_is_retired_and_brought_back(company: Company) -> None:
    item, browser = item_of("truck_access"), signed_in(company.omar)
    address = reverse("catalogue-retire", args=[item.pk])
    assert browser.post(address, {"version": "1"}).status_code == 302
    assert item.name not in words(browser.get("/catalogue/"))
    assert f"{item.name} (retired)" in words(browser.get("/catalogue/?retired=1"))
    assert browser.post(address, {"version": "1", "back": "1"}).status_code == 409
    assert browser.post(address, {"version": "2", "back": "1"}).status_code == 302
    assert browser.post(address, {"version": "x"}).status_code == 400
    assert not item_of("truck_access").retired


def test_who_saves_second_sees_what_is_there_now(company: Company) -> None:
    item = item_of("truck_access")
    stale = filled(item, lead_days=9)
    post(company, item, lead_days=3)
    answer = signed_in(company.lena).post(reverse("catalogue-change", args=[item.pk]), stale)
    assert answer.status_code == 409
    assert "Somebody changed this meanwhile" in words(answer)
    assert item_of("truck_access").lead_days == 3


def test_an_entry_of_ones_own_is_added_and_hostile_words_are_words(company: Company) -> None:
    data = {
        "version": "0", "name": HOSTILE[:100], "owed_by": "builder", "gate": "warn",
        "holds": ["flat_blow"], "consequence": "Old fill has nowhere to go.", "source": "ours",
        "lead_days": "2", "houses": "both", "lag_trade_days": "0",
    }  # fmt: skip
    answer = signed_in(company.omar).post(reverse("catalogue-new"), data, follow=True)
    assert answer.status_code == 200
    assert "<script>alert(1)" not in answer.content.decode()
    wrong = signed_in(company.omar).post(reverse("catalogue-new"), data | {"holds": []})
    assert wrong.status_code == 400
    assert "Holds up" in words(wrong)


@pytest.fixture
def job(company: Company) -> Job:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    return job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)


def test_the_estimator_adds_and_strikes_on_the_job_s_page(company: Company, job: Job) -> None:
    browser = signed_in(company.esme)
    item = item_of("rooms_cleared")
    data = {"item": item.pk, "reason": "they live in it"}
    assert browser.post(reverse("condition-add", args=[job.pk]), data).status_code == 302
    row = job.conditions.get(code="ceiling_board")
    address = reverse("condition-strike", args=[job.pk, row.pk])
    said = {"version": row.version, "reason": "old ceiling stays"}
    assert browser.post(address, said).status_code == 302
    page = words(browser.get(reverse("job", args=[job.pk])))
    assert "Added by hand: they live in it" in page
    assert "Struck from this job" in page
    assert "“old ceiling stays”" in page
    assert browser.post(address, said).status_code == 409
    assert browser.post(address, {"version": row.version + 1, "back": "1"}).status_code == 302
    assert job.conditions.get(code="ceiling_board").needed


def test_a_stop_has_no_form_to_strike_it_and_a_posted_one_is_refused(
    company: Company, job: Job
) -> None:
    row = job.conditions.get(code="junctions_covered")
    page = signed_in(company.olive).get(reverse("job", args=[job.pk])).content.decode()
    address = reverse("condition-strike", args=[job.pk, row.pk])
    assert address not in page
    answer = signed_in(company.olive).post(address, {"version": row.version, "reason": "no time"})
    assert answer.status_code == 409
    assert "cannot be struck from a job by anyone" in words(answer)


@pytest.mark.parametrize(
    "data", [{}, {"item": "x", "reason": "a"}, {"item": "99999999", "reason": "a"}]
)
def test_an_odd_addition_is_refused(company: Company, job: Job, data: dict[str, str]) -> None:
    answer = signed_in(company.esme).post(reverse("condition-add", args=[job.pk]), data)
    assert answer.status_code == 400
    assert "Choose a condition of the catalogue." in words(answer)


def test_an_addition_without_a_reason_is_refused(company: Company, job: Job) -> None:
    data = {"item": item_of("rooms_cleared").pk, "reason": " "}
    answer = signed_in(company.esme).post(reverse("condition-add", args=[job.pk]), data)
    assert answer.status_code == 409
    assert "Say why" in words(answer)
