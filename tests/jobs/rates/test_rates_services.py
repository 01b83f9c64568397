"""Learning and pinning: what changes, what is re-priced, what stands as posted or finished."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from contractor.models import Branch, CrewPace, Event, LearnedRate, PinnedRate
from jobs.estimates.services.reprice import Repriced
from jobs.models import Job
from jobs.rates.services.rates import rate_pin, rate_unpin, rates_learn, yard_set
from tests.jobs.rates.worked import attic_job, enter, finished, post, step_of
from tests.people import ACTOR, NOW, Company

pytestmark = pytest.mark.django_db


def learn(company: Company):  # type: ignore[no-untyped-def]
    return rates_learn(branch=company.fairfield, actor=ACTOR, now=NOW)


def pin(company: Company, path: str, value: str, because: str = "timed it") -> Repriced:
    return rate_pin(
        branch=company.fairfield,
        path=path,
        value=Decimal(value),
        because=because,
        actor=ACTOR,
        now=NOW,
    )


def unpin(company: Company, path: str) -> Repriced:
    return rate_unpin(branch=company.fairfield, path=path, actor=ACTOR, now=NOW)


def minutes(job: Job) -> int:
    return int(step_of(job).crew_minutes["2"])


def test_finished_work_changes_open_jobs_and_says_how_many(company: Company) -> None:
    finished(company, 6, "1.5")
    job = attic_job(company, "Open")
    before = minutes(job)
    learnt = learn(company)
    assert (learnt.steps, learnt.left_out) == (6, 0)
    assert learnt.repriced == Repriced(changed=1)
    assert before * 1.2 < minutes(job) < before * 1.5
    rate = LearnedRate.objects.get(step_kind="flat_blow", material_key="", machine_name="")
    assert rate.jobs == 6
    nearest = LearnedRate.objects.get(material_key="cellulose", machine_name="Blower 1")
    assert minutes(job) == pytest.approx(before * float(nearest.minutes_factor), abs=2)
    space = job.spaces.get()
    assert "learned from 6 jobs" in str(space.estimate["steps"][0]["because"])


def test_learning_again_changes_nothing_more(company: Company) -> None:
    """What was learned is not held against itself: the ratios are to the bare rates."""
    finished(company, 6, "1.5")
    job = attic_job(company, "Open")
    learn(company)
    first = minutes(job)
    assert learn(company).repriced == Repriced(same=1)
    assert minutes(job) == first


def test_work_entered_after_learning_is_held_against_the_bare_rates_too(company: Company) -> None:
    finished(company, 6, "1.5")
    learn(company)
    rate = LearnedRate.objects.get(step_kind="flat_blow", material_key="", machine_name="")
    late = attic_job(company, "Late", state="finished")
    enter(step_of(late), company.north, minutes(late), machine=company.blower)
    learn(company)
    again = LearnedRate.objects.get(step_kind="flat_blow", material_key="", machine_name="")
    assert again.jobs == 7
    assert float(again.minutes_factor) == pytest.approx(float(rate.minutes_factor), rel=0.03)


def test_a_correction_counts_once_as_it_holds(company: Company) -> None:
    job = attic_job(company, "Done", state="finished")
    enter(step_of(job), company.north, 9_000)
    enter(step_of(job), company.north, minutes(job))
    assert learn(company).steps == 1
    rate = LearnedRate.objects.get(step_kind="flat_blow", material_key="", machine_name="")
    assert float(rate.minutes_factor) == pytest.approx(1, abs=0.01)


def test_posted_and_finished_jobs_stand(company: Company) -> None:
    finished(company, 6, "1.5")
    posted, done = attic_job(company, "Posted"), attic_job(company, "Old", state="finished")
    post(posted, company.north)
    before = minutes(posted), minutes(done)
    assert learn(company).repriced == Repriced(posted=1)
    assert (minutes(posted), minutes(done)) == before


def test_another_yard_s_jobs_and_rates_stand(company: Company) -> None:
    finished(company, 6, "1.5")
    learn(company)
    assert not LearnedRate.objects.filter(branch=company.lowton).exists()


def test_a_crew_s_pace_is_learned(company: Company) -> None:
    finished(company, 6, "0.8", company.north)
    finished(company, 6, "1.2", company.south)
    learn(company)
    paces = {pace.crew: pace for pace in CrewPace.objects.filter(step_kind="flat_blow")}
    assert paces[company.north].pace < 1 < paces[company.south].pace
    assert paces[company.north].jobs == 6


def test_a_faster_machine_is_held_against_its_own_rate(company: Company) -> None:
    """2,800 lb blow for 140 min at 1,200 lb/h, for 120 at 1,400 (worked by hand).

    Were the fast machine's minutes held against the slow one's rate, the factor would fall.
    """
    fast = company.fairfield.machines.create(
        name="Fast", open_lb_per_hour=1400, dense_lb_per_hour=490
    )
    for index in range(6):
        job = attic_job(company, f"Fast {index}", state="finished")
        slow_minutes = minutes(job)
        enter(step_of(job), company.north, slow_minutes - 20, machine=fast)
    learn(company)
    rate = LearnedRate.objects.get(step_kind="flat_blow", material_key="", machine_name="Fast")
    assert float(rate.minutes_factor) == pytest.approx(1, abs=0.02)


def test_work_whose_spaces_are_gone_is_left_out_and_told(company: Company) -> None:
    job = attic_job(company, "Done", state="finished")
    enter(step_of(job), company.north, 100)
    job.spaces.all().delete()
    learnt = learn(company)
    assert (learnt.steps, learnt.left_out) == (0, 1)


def test_learning_leaves_an_event(company: Company) -> None:
    finished(company, 2, "1.1")
    learn(company)
    event = Event.objects.get(verb="learned")
    assert event.what["steps"] == 2
    assert event.what["factors"]["flat_blow"] > 1
    assert event.branch == company.fairfield


def test_a_pinned_factor_holds_against_what_was_learned(company: Company) -> None:
    finished(company, 6, "1.5")
    job = attic_job(company, "Open")
    before = minutes(job)
    learn(company)
    assert pin(company, "learned.flat_blow", "2") == Repriced(changed=1)
    assert minutes(job) == pytest.approx(before * 2, abs=1)
    assert "pinned by hand: timed it" in str(job.spaces.get().estimate)
    assert unpin(company, "learned.flat_blow") == Repriced(changed=1)
    assert before * 1.2 < minutes(job) < before * 1.5


def test_a_pinned_machine_rate_goes_before_the_entered_one(company: Company) -> None:
    """2,800 lb at 600 lb/h blow for 280 minutes (worked by hand)."""
    job = attic_job(company, "Open")
    pin(company, f"machine-{company.blower.pk}.open", "600")
    blow = job.spaces.get().estimate["steps"][0]
    assert blow["machine_minutes"] == 280


def test_pinning_leaves_events_with_both_values(company: Company) -> None:
    pin(company, "hand.marker_minutes", "2", "the boxes are far")
    pin(company, "hand.marker_minutes", "3")
    unpin(company, "hand.marker_minutes")
    assert [e.verb for e in Event.objects.order_by("pk")] == ["pinned", "pinned", "unpinned"]
    second = Event.objects.filter(verb="pinned").order_by("pk")[1]
    assert second.what["value"] == ["2", "3"]
    assert second.what["because"] == ["the boxes are far", "timed it"]
    assert not PinnedRate.objects.exists()


def test_pinning_the_same_and_unpinning_nothing_do_nothing(company: Company) -> None:
    pin(company, "hand.marker_minutes", "2")
    attic_job(company, "Open")
    count = Event.objects.count()
    assert pin(company, "hand.marker_minutes", "2.0") == Repriced()
    assert unpin(company, "hand.hatch_minutes") == Repriced()
    assert Event.objects.count() == count


@pytest.mark.parametrize(
    ("path", "value", "because", "field"),
    [
        ("hand.nothing", "1", "why", "path"),
        ("machine-999.open", "1200", "why", "path"),
        ("machine.dense_share", "0.3", "why", "path"),
        ("hand.marker_minutes", "-1", "why", "value"),
        ("hand.marker_minutes", "10000.1", "why", "value"),
        ("hand.marker_minutes", "0.00001", "why", "value"),
        ("hand.marker_minutes", "NaN", "why", "value"),
        ("hand.loss_per_person", "0.6", "why", "value"),
        ("machine.feed_bags_per_hour", "0", "why", "value"),
        ("learned.flat_blow", "0.05", "why", "value"),
        ("hand.marker_minutes", "2", "  ", "because"),
        ("hand.marker_minutes", "2", "w" * 151, "because"),
    ],
)
def test_a_pin_that_cannot_be_right_changes_nothing(
    company: Company, path: str, value: str, because: str, field: str
) -> None:
    with pytest.raises(ValidationError) as error:
        pin(company, path, value, because)
    assert field in error.value.message_dict
    assert not PinnedRate.objects.exists()
    assert not Event.objects.exists()


def test_a_long_hose_slows_the_blow(company: Company) -> None:
    """50 ft beyond the rated 100 lose a tenth: 140 / 0.9 minutes (worked by hand)."""
    job = attic_job(company, "Open")
    repriced = yard_set(branch=company.fairfield, values={"hose_ft": 150}, actor=ACTOR, now=NOW)
    assert repriced == Repriced(changed=1)
    blow = job.spaces.get().estimate["steps"][0]
    assert blow["machine_minutes"] == pytest.approx(140 / 0.9)


def test_heat_is_off_until_it_is_set_and_adds_rests(company: Company) -> None:
    job = attic_job(company, "Open")
    before = minutes(job)
    values = {"heat_on": True, "heat_outdoor_f": 95}
    yard_set(branch=company.fairfield, values=values, actor=ACTOR, now=NOW)
    assert minutes(job) == before + 15  # more than two hours of work: one rest
    yard_set(branch=company.fairfield, values={"heat_on": False}, actor=ACTOR, now=NOW)
    assert minutes(job) == before


def test_rests_of_hot_days_teach_nothing(company: Company) -> None:
    values = {"heat_on": True, "heat_outdoor_f": 95}
    yard_set(branch=company.fairfield, values=values, actor=ACTOR, now=NOW)
    job = attic_job(company, "Done", state="finished")
    enter(step_of(job), company.north, minutes(job) - 15, machine=company.blower)
    learn(company)
    rate = LearnedRate.objects.get(step_kind="flat_blow", material_key="", machine_name="")
    assert float(rate.minutes_factor) == pytest.approx(1, abs=0.01)


def test_the_code_of_the_yard_warns_of_a_low_target(company: Company) -> None:
    """Table R402.1.3 of the 2021 IECC: R-60 in zone 5, over the R-49 here."""
    job = attic_job(company, "Open")
    values = {"code_edition": 2021, "climate_zone": 5}
    yard_set(branch=company.fairfield, values=values, actor=ACTOR, now=NOW)
    assert job.spaces.get().warnings.filter(code="under_code", holds=False).exists()


@pytest.mark.parametrize(
    "values",
    [
        {"heat_on": True},
        {"heat_on": True, "heat_outdoor_f": 200},
        {"code_edition": 2021},
        {"code_edition": 2021, "climate_zone": 9},
        {"climate_zone": 5},
        {"hose_ft": -1},
    ],
)
def test_a_yard_that_cannot_be_is_refused(company: Company, values: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        yard_set(branch=company.fairfield, values=values, actor=ACTOR, now=NOW)
    assert Branch.objects.get(pk=company.fairfield.pk).heat_on is False
    assert not Event.objects.exists()


def test_only_what_the_yard_may_set_is_set(company: Company) -> None:
    with pytest.raises(TypeError, match="name"):
        yard_set(branch=company.fairfield, values={"name": "X"}, actor=ACTOR, now=NOW)


def test_a_job_that_cannot_be_estimated_any_more_keeps_its_estimate(company: Company) -> None:
    job = attic_job(company, "Open")
    before = minutes(job)
    company.cellulose.chart.filter(r__gte=49).delete()
    repriced = pin(company, "hand.marker_minutes", "5")
    assert (repriced.changed, len(repriced.refused)) == (0, 1)
    assert "R-49" in repriced.refused[0]
    assert minutes(job) == before
    assert PinnedRate.objects.count() == 1
