"""Measuring a space: what the page works out, for whom, and how it is shown."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from contractor.models import Event, LearnedRate
from jobs.models import Job, Space
from tests.jobs.estimates.built import built
from tests.jobs.spaces.spaces import ATTIC, HOUSE, given, look, new_page, page_of, post_new
from tests.pages import HOSTILE, inline_faults, marks, statements, status_by_role, words
from tests.people import NOW, Company, attic_make, job_make, signed_in, site_make

pytestmark = pytest.mark.usefixtures("thursday_morning")


@pytest.fixture
def job(company: Company) -> Job:
    return job_make(site_make(company.fairfield))


# --- who may -------------------------------------------------------------------------------


@pytest.mark.parametrize("which", ["new", "change", "remove"])
def test_who_sees_the_pages(company: Company, job: Job, which: str) -> None:
    space = attic_make(job, company.cellulose)
    pages = {
        "new": new_page(job, "walls"),
        "change": page_of(space),
        "remove": reverse("space-remove", args=[job.pk, space.pk]),
    }
    assert status_by_role(company, pages[which]) == {
        "olive": 200,
        "omar": 200,
        "esme": 200,
        "cleo": 404,
        "saul": 404,
        "lena": 404,
        "lars": 404,
        "nobody": 302,
    }


def test_a_space_of_another_house_is_not_there(company: Company, job: Job) -> None:
    space = attic_make(job_make(job.site, "Lot 2"), company.cellulose)
    client = signed_in(company.esme)
    for name in ("space", "space-remove"):
        assert client.get(reverse(name, args=[job.pk, space.pk])).status_code == 404
    answer = client.post(reverse("space-look", args=[job.pk]), {"space": str(space.pk)})
    assert answer.status_code == 404


def test_lena_changes_nothing_of_fairfield(company: Company, job: Job) -> None:
    client = signed_in(company.lena)
    assert client.post(new_page(job, "attic_flat"), given(company, job, **ATTIC)).status_code == 404
    assert client.post(reverse("space-look", args=[job.pk]), {"kind": "walls"}).status_code == 404
    assert not Space.objects.exists()


# --- the worked house ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("spacing", "bags", "volume"), [("24", "141", "1,002.74"), ("16", "136", "969.31")]
)
def test_a_gable_house_is_read_off_without_script(
    company: Company, job: Job, spacing: str, bags: str, volume: str
) -> None:
    answer = post_new(company, job, "slope_bays", "look", **HOUSE, spacing_in=spacing)
    page = words(answer)
    assert answer.status_code == 200
    assert f"cellulose {bags} bags R-value R-35 Crew-hours of 2 people" in page
    assert f"volume {volume} ft³" in page
    assert "What must be ready first stop: safety or law roof free of leaks roofer · owed" in page
    assert "vent chutes in every rafter bay" in page
    assert not Space.objects.exists()


def test_hours_are_those_of_the_machine_and_of_the_handling(company: Company, job: Job) -> None:
    """3,509.58 lb / 420 lb/h (the yard's machine, dense) = 501.4 min; 40 bays x 1.7 = 68 min.

    569.4 min = 9.5 crew-hours, 19.0 labour-hours for two; machine 8.4 h. By hand.
    """
    page = words(look(company, job, "slope_bays", **HOUSE, spacing_in="24"))
    assert "Crew-hours of 2 people 9.5 in four of five cases at most" in page
    assert "Labour-hours 19.0 Machine-hours 8.4" in page


def test_the_saved_house_says_the_same_on_its_job_page(company: Company, job: Job) -> None:
    answer = post_new(company, job, "slope_bays", **HOUSE, spacing_in="24")
    assert answer.redirect_chain[-1][0] == f"/jobs/{job.pk}/#spaces"
    page = words(answer)
    assert "roof is saved." in page
    assert "Bags 141" in page
    assert "Bays 40" in page
    assert "Run 14 ft" in page


# --- looking writes nothing ------------------------------------------------------------------


def test_looking_writes_nothing(company: Company) -> None:
    job = built(company)
    space = job.spaces.get(name="attic")
    rows = [model.objects.order_by("pk").values() for model in (Job, Space, Event)]
    before = [list(row) for row in rows]
    address = reverse("space-look", args=[job.pk])
    data = given(company, job, kind="attic_flat", space=str(space.pk), name="attic", **ATTIC)
    answer = signed_in(company.esme).post(address, data | {"area_ft2": "3000"})
    # 3000 ft2 x 28/15 lb/ft2 = 5600 lb = 224 bags of 25 lb: by hand from the chart.
    assert "224 bags" in words(answer)
    assert [list(row.all()) for row in rows] == before


def test_each_figure_opens_to_formula_numbers_inputs_and_source(company: Company, job: Job) -> None:
    page = words(look(company, job, "attic_flat", **ATTIC))
    assert (
        "bags 112 bags pounds / bag_lb, rounded up once 2,800 / 25, rounded up once = 112" in page
    )
    assert "pounds 2,800 bag, lb 25 the bag's label" in page
    answer = marks(look(company, job, "attic_flat", **ATTIC))
    assert answer.count('<details class="figure">') >= 4


def test_what_is_not_typed_yet_is_asked_for_and_marked_at_no_field(
    company: Company, job: Job
) -> None:
    answer = look(company, job, "slope_bays", **{**HOUSE, "depth_in": ""})
    assert "Still to be measured: Rafter depth: Is missing; expected a number of in." in words(
        answer
    )
    assert re.findall(r'hx-swap-oob="true">[^<]+<', marks(answer)) == []


def test_what_cannot_be_is_marked_at_its_field_while_one_types(company: Company, job: Job) -> None:
    answer = look(company, job, "slope_bays", **{**HOUSE, "vent_in": "12"}, spacing_in="16")
    assert "This cannot be worked out:" in words(answer)
    marked = re.findall(r'id="id_(\w+)_error" hx-swap-oob="true">([^<]+)<', marks(answer))
    assert [name for name, _ in marked] == ["vent_in"]
    assert "leaves nothing of a 11.25 in rafter; expected less than rafter depth" in marked[0][1]


def test_a_look_at_nothing_in_particular_is_refused(company: Company, job: Job) -> None:
    answer = signed_in(company.esme).post(reverse("space-look", args=[job.pk]), {"kind": "tower"})
    assert answer.status_code == 400


def test_a_doubt_is_told_with_its_source(company: Company, job: Job) -> None:
    low = {**HOUSE, "lb_per_ft3": "2.5", "fill": "dense", "spacing_in": "24"}
    page = words(look(company, job, "slope_bays", **low))
    assert "Saved like this, the step waits until somebody answers for it." in page
    thin = {**HOUSE, "vent_in": "0.5", "spacing_in": "24"}
    assert "IRC R806" in words(look(company, job, "slope_bays", **thin))


def test_what_a_further_space_brings_is_marked_as_new(company: Company) -> None:
    job = built(company)
    data = {"area_ft2": "400", "depth_in": "5.5", "spacing_in": "16", "material": ""}
    page = words(look(company, job, "walls", **data))
    assert "new with this space" in page
    assert "receipt signed" not in page  # that finishes a job, and holds up no start


def test_another_space_that_cannot_be_worked_out_is_named(company: Company, job: Job) -> None:
    other = attic_make(job, company.cellulose, "old attic")
    Space.objects.filter(pk=other.pk).update(target_r=90)
    answer = look(company, job, "attic_flat", **ATTIC)
    assert "old attic, another space of this job, cannot be worked out" in words(answer)


def test_the_jobs_behind_a_rate_are_told(company: Company, job: Job) -> None:
    page = words(look(company, job, "attic_flat", **ATTIC))
    assert "prior from the span of 3 to 8 labour-hours per 1,000 ft2" in page
    LearnedRate.objects.create(
        branch=company.fairfield,
        step_kind="flat_blow",
        minutes_factor=Decimal("1.2"),
        bags_factor=1,
        sigma=Decimal("0.2"),
        jobs=7,
        learned_at=NOW,
    )
    assert "learned from 7 jobs" in words(look(company, job, "attic_flat", **ATTIC))


# --- the code ----------------------------------------------------------------------------------


def test_the_code_s_suggestion_names_its_table_and_who_decides(company: Company, job: Job) -> None:
    """IECC 2021 table R402.1.3 and R402.2.1: R-60 in zone 5, R-49 at full height over the plate."""
    page = words(look(company, job, "attic_flat", **ATTIC, code_edition="2021", code_zone="5"))
    assert "IECC 2021 table R402.1.3, zone 5: ceiling R-60" in page
    assert "where R-49 lies at its full height over the wall plate it is accepted for R-60" in page
    assert "The adopted local code decides." in page


def test_a_ceiling_without_an_attic_in_the_numbers_of_the_house(company: Company, job: Job) -> None:
    """R402.2.2: the lesser of 500 ft2 and 20 %. 2 x 40 x 15.6525 = 1,252 ft2; a fifth is 250."""
    code = {"code_edition": "2021", "code_zone": "5", "spacing_in": "24"}
    page = words(look(company, job, "slope_bays", **HOUSE, **code))
    assert "Give the whole insulated ceiling" in page
    code["code_total_ceiling_ft2"] = "1252"
    page = words(look(company, job, "slope_bays", **HOUSE, **code))
    assert "R-30 may serve 250 of the 1,252 ft² of slope; the other 1,002 ft² need R-60" in page


def test_roof_vents_at_a_150th_and_a_300th(company: Company, job: Job) -> None:
    """IRC R806.2: 1500 ft2 x 144 / 150 = 1,440 in2, / 300 = 720 in2."""
    page = words(look(company, job, "attic_flat", **ATTIC))
    assert "1,440 in2 net free area at 1/150; 720 in2 at 1/300" in page


# --- the page itself ---------------------------------------------------------------------------


def test_the_kinds_are_chosen_in_trade_words(company: Company, job: Job) -> None:
    page = words(signed_in(company.esme).get(reverse("space-new", args=[job.pk])))
    assert "attic flat slope bays walls rim knee wall floor air sealing baffles" in page
    again = signed_in(company.esme).get(new_page(job, "tower"))
    assert "What is to be measured?" in words(again)


def test_the_job_page_leads_there(company: Company) -> None:
    job = built(company)
    page = marks(signed_in(company.esme).get(reverse("job", args=[job.pk])))
    assert f'href="/jobs/{job.pk}/spaces/new/"' in page
    for space in job.spaces.all():
        assert f'href="{page_of(space)}"' in page


def test_nominal_sizes_stand_in_the_list_of_a_depth(company: Company, job: Job) -> None:
    page = marks(signed_in(company.esme).get(new_page(job, "slope_bays")))
    assert '<option value="11.25" label="2×12">' in page
    assert 'list="id_depth_in_list"' in page


def test_hostile_words_are_only_text(company: Company, job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(unit=HOSTILE[:60])
    hostile = {**ATTIC, "name": HOSTILE[:80], "note": HOSTILE, "area_ft2": "{{ 7|add:7 }}"}
    for answer in (
        post_new(company, job, "attic_flat", "look", **hostile),
        look(company, job, "attic_flat", **hostile),
        post_new(company, job, "attic_flat", **{**hostile, "area_ft2": "900"}),
    ):
        assert inline_faults(answer) == []
    assert "{{ 7|add:7 }}" in words(post_new(company, job, "attic_flat", "look", **hostile))


def test_statements_do_not_grow_with_the_spaces(company: Company) -> None:
    small, large = (
        job_make(site_make(company.fairfield)),
        job_make(company.fairfield.sites.get(), "2"),
    )
    for number in range(6):
        attic_make(large, company.cellulose, f"attic {number}")
    client = signed_in(company.esme)
    counts = []
    for job in (small, large):
        attic_make(job, company.cellulose, "own")
        space = job.spaces.get(name="own")
        with statements() as count:
            client.get(page_of(space))
        counts.append(count())
    assert counts[0] == counts[1] <= 25
