"""The catalogue as data: seeded, edited by the office, taken by new jobs only."""

from threading import Barrier, Thread

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db import IntegrityError, OperationalError, connections, transaction

from contractor.events import Actor
from contractor.models import Event
from jobs.catalogue.queries import catalogue_entries
from jobs.catalogue.rows import entry_of, terms_of
from jobs.catalogue.seeding import catalogue_seed
from jobs.catalogue.services.entries import (
    CatalogueRefused,
    catalogue_add,
    catalogue_change,
    catalogue_restore,
    catalogue_retire,
)
from jobs.conditions.seed import ENTRIES, SEED
from jobs.conditions.states import Terms
from jobs.desk.services import Stale
from jobs.estimates.services.estimate import job_estimate
from jobs.models import CatalogueItem, Condition, Job
from tests.people import ACTOR, NOW, Company, attic_make, job_make, site_make

OWN = {
    "name": "dumpster on site",
    "owed_by": "builder",
    "gate": "block",
    "holds": ["flat_blow"],
    "consequence": "Old fill has nowhere to go.",
    "source": "Common practice, no source",
}


def item_of(code: str) -> CatalogueItem:
    return CatalogueItem.objects.get(code=code)


def change(code: str, **values: object) -> CatalogueItem:
    item = item_of(code)
    return catalogue_change(
        item_id=item.pk, version=item.version, values=values, actor=ACTOR, now=NOW
    )


def refused(code: str, **values: object) -> dict[str, list[str]]:
    with pytest.raises(ValidationError) as caught:
        change(code, **values)
    assert item_of(code).entry == ENTRIES[code]
    return dict(caught.value.message_dict)


def house(company: Company, unit: str = "Lot 1") -> Job:
    first = Job.objects.first()
    made = job_make(first.site if first else site_make(company.fairfield), unit)
    attic_make(made, company.cellulose)
    return job_estimate(job_id=made.pk, actor=ACTOR, now=NOW)


@pytest.mark.django_db
def test_the_table_says_what_the_seed_says() -> None:
    assert catalogue_entries() == SEED


@pytest.mark.django_db
def test_seeding_again_brings_what_is_missing_and_leaves_what_is_edited() -> None:
    change("ceiling_board", name="ceiling up")
    item_of("permit_issued").delete()
    catalogue_seed()
    assert item_of("ceiling_board").name == "ceiling up"
    assert catalogue_entries()[0] == SEED[0]
    assert CatalogueItem.objects.count() == len(SEED)


@pytest.mark.django_db(transaction=True)
def test_an_emptied_database_has_its_catalogue_again() -> None:
    call_command("flush", interactive=False, verbosity=0)
    assert catalogue_entries() == SEED


@pytest.mark.django_db
def test_words_and_lead_time_are_changed_and_recorded(company: Company) -> None:
    item = item_of("ceiling_board")
    omar = Actor.of_user(company.omar)
    catalogue_change(
        item_id=item.pk,
        version=1,
        values={"name": "lid board up", "lead_days": 5, "lag_trade_days": 4},
        actor=omar,
        now=NOW,
    )
    event = Event.objects.get(noun="catalogueitem")
    assert event.what == {
        "code": "ceiling_board",
        "name": ["ceiling board hung and taped", "lid board up"],
        "lead_days": [3, 5],
        "lag_trade_days": [2, 4],
    }
    assert (event.verb, event.who, item_of("ceiling_board").version) == ("changed", "Omar", 2)


@pytest.mark.django_db
def test_what_does_not_differ_leaves_no_event() -> None:
    change("ceiling_board", lead_days=3)
    assert item_of("ceiling_board").version == 1
    assert not Event.objects.exists()


@pytest.mark.django_db
def test_a_new_job_takes_the_edited_entry_and_an_old_one_keeps_its_own(company: Company) -> None:
    old = house(company)
    change("ceiling_board", name="lid board up", gate="warn", owed_by="builder", lag_trade_days=9)
    new = house(company, "Lot 2")
    job_estimate(job_id=old.pk, actor=ACTOR, now=NOW)
    before, after = (job.conditions.get(code="ceiling_board") for job in (old, new))
    assert (before.name, before.gate, before.owed_by) == (
        "ceiling board hung and taped",
        "block",
        "drywaller",
    )
    assert (after.name, after.gate, after.owed_by) == ("lid board up", "warn", "builder")
    assert entry_of(before) == ENTRIES["ceiling_board"]
    assert entry_of(after) == item_of("ceiling_board").entry


@pytest.mark.django_db
def test_what_may_be_taken_over_is_settled_when_the_job_takes_the_condition(
    company: Company,
) -> None:
    old = house(company)
    change("chases_capped", may_take_over=False, measure="")
    new = house(company, "Lot 2")
    assert terms_of(old.conditions.get(code="chases_capped")) == Terms("block", may_take_over=True)
    assert terms_of(new.conditions.get(code="chases_capped")) == Terms("block")


@pytest.mark.django_db
def test_rows_from_before_the_catalogue_was_data_count_as_seeded(company: Company) -> None:
    row = Condition(job=job_make(site_make(company.fairfield)), code="lead_rule", gate="law")
    assert entry_of(row) == ENTRIES["lead_rule"]
    assert entry_of(Condition(code="unheard_of", gate="block")) is None


@pytest.mark.django_db
def test_a_retired_entry_is_left_out_of_new_jobs_only(company: Company) -> None:
    old = house(company)
    item = item_of("truck_access")
    catalogue_retire(item_id=item.pk, version=1, actor=ACTOR, now=NOW)
    new = house(company, "Lot 2")
    job_estimate(job_id=old.pk, actor=ACTOR, now=NOW)
    assert old.conditions.filter(code="truck_access", needed=True).exists()
    assert not new.conditions.filter(code="truck_access").exists()
    catalogue_restore(item_id=item.pk, version=2, actor=ACTOR, now=NOW)
    assert house(company, "Lot 3").conditions.filter(code="truck_access").exists()
    verbs = Event.objects.filter(noun="catalogueitem").values_list("verb", flat=True)
    assert sorted(verbs) == ["brought back", "retired"]


@pytest.mark.django_db
def test_an_entry_of_ones_own_reaches_new_jobs(company: Company) -> None:
    item = catalogue_add(values=OWN, actor=ACTOR, now=NOW)
    assert item.code == "dumpster_on_site"
    row = house(company).conditions.get(code="dumpster_on_site")
    assert (row.name, row.owed_by, row.holds) == ("dumpster on site", "builder", ["flat_blow"])
    assert catalogue_entries()[-1].code == "dumpster_on_site"


@pytest.mark.django_db
def test_a_name_stands_once_and_a_code_finds_room() -> None:
    item = catalogue_add(values=OWN, actor=ACTOR, now=NOW)
    with pytest.raises(ValidationError) as caught:
        catalogue_add(values=OWN | {"name": "Dumpster ON site"}, actor=ACTOR, now=NOW)
    assert set(caught.value.message_dict) == {"name"}
    catalogue_retire(item_id=item.pk, version=1, actor=ACTOR, now=NOW)
    assert catalogue_add(values=OWN, actor=ACTOR, now=NOW).code == "dumpster_on_site_2"
    with pytest.raises(ValidationError):
        catalogue_restore(item_id=item.pk, version=2, actor=ACTOR, now=NOW)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"name": ""}, "name"),
        ({"consequence": "x" * 201}, "consequence"),
        ({"holds": []}, "holds"),
        ({"holds": ["paint"]}, "holds"),
        ({"owed_by": "mason"}, "owed_by"),
        ({"gate": "hard"}, "gate"),
        ({"lead_days": -1}, "lead_days"),
        ({"measure": "bays", "may_take_over": False}, "measure"),
        ({"measure": "yards", "may_take_over": True}, "measure"),
        ({"valid_hours": 0}, "valid_hours"),
        ({"lag_steps": ["paint"]}, "lag_steps"),
        ({"built_before": 1978}, "year_rule"),
    ],
)
def test_a_wrong_value_is_named_by_field(values: dict[str, object], field: str) -> None:
    assert field in refused("ceiling_board", **values)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "code",
    [
        "no_active_leak",  # DOE/NREL Standard Work Specifications, attic: no active leaks
        "recessed_lights_safe",  # NEC 410.116(B)
        "flues_dammed",  # DOE/NREL Standard Work Specifications: clearances at flues
        "junctions_covered",  # DOE/NREL Standard Work Specifications: no uncovered junctions
        "walk_boards",  # 29 CFR 1926.501(b)(13)
        "house_empty_for_foam",  # EPA guidance on spray foam
        "foam_reentry",  # EPA: the product's own re-entry time
        "no_vermiculite",  # EPA; Building America Solution Center: work shall not proceed
        "no_live_knob_and_tube",  # NEC 394.12(5)
        "combustion_test",  # ANSI/BPI-1200-S
        "plumbing_rough_passed",  # IRC R109.1.2
        "electrical_rough_passed",  # IRC R109.1.2
        "hvac_rough_passed",  # IRC R109.1.2
        "framing_inspection",  # IRC R109.1.4
        "insulation_inspection",  # Durham NC inspection list: insulation before board
        "lead_rule",  # 40 CFR 745 subpart E
    ],
)
def test_nobody_weakens_a_seeded_stop_or_law(company: Company, code: str) -> None:
    item = item_of(code)
    for person in (company.olive, company.omar):
        for values in ({"gate": "block"}, {"holds": ["net"]}, {"owed_by": "us", "gate": "warn"}):
            with pytest.raises(ValidationError) as caught:
                catalogue_change(
                    item_id=item.pk,
                    version=1,
                    values=values,
                    actor=Actor.of_user(person),
                    now=NOW,
                )
            assert "nobody may weaken it" in str(caught.value)
        with pytest.raises(ValidationError) as caught:
            catalogue_retire(item_id=item.pk, version=1, actor=Actor.of_user(person), now=NOW)
        assert "retired" in caught.value.message_dict
    assert item_of(code).entry == ENTRIES[code]
    assert not Event.objects.exists()


@pytest.mark.django_db
def test_a_list_of_guarded_codes_is_all_of_them() -> None:
    marks = test_nobody_weakens_a_seeded_stop_or_law.pytestmark  # type: ignore[attr-defined]
    (codes,) = [mark.args[1] for mark in marks if mark.name == "parametrize"]
    assert set(codes) == {entry.code for entry in SEED if entry.gate in ("stop", "law")}


@pytest.mark.django_db
def test_the_database_itself_keeps_a_stop_from_being_taken_over() -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        CatalogueItem.objects.filter(code="lead_rule").update(may_take_over=True)


@pytest.mark.django_db
def test_an_estimator_does_not_change_the_catalogue(company: Company) -> None:
    esme, item = Actor.of_user(company.esme), item_of("ceiling_board")
    with pytest.raises(CatalogueRefused):
        catalogue_add(values=OWN, actor=esme, now=NOW)
    with pytest.raises(CatalogueRefused):
        catalogue_retire(item_id=item.pk, version=1, actor=esme, now=NOW)


@pytest.mark.django_db
def test_who_comes_second_is_told(company: Company) -> None:
    item = item_of("ceiling_board")
    change("ceiling_board", lead_days=4)
    with pytest.raises(Stale) as caught:
        catalogue_change(item_id=item.pk, version=1, values={"lead_days": 9}, actor=ACTOR, now=NOW)
    assert caught.value.present.lead_days == 4


@pytest.mark.django_db
def test_codes_places_and_versions_are_not_set_by_hand() -> None:
    with pytest.raises(TypeError, match="retired, version"):
        change("ceiling_board", version=9, retired=True)


@pytest.mark.django_db(transaction=True)
def test_of_two_at_once_one_wins_and_the_other_is_told() -> None:
    item, start, outcomes = item_of("ceiling_board"), Barrier(2), []

    def edit(days: int) -> None:
        start.wait()
        try:
            catalogue_change(
                item_id=item.pk, version=1, values={"lead_days": days}, actor=ACTOR, now=NOW
            )
            outcomes.append("won")
        except (Stale, OperationalError):  # SQLite refuses the second writer at once
            outcomes.append("told")
        finally:
            connections.close_all()

    threads = [Thread(target=edit, args=(days,)) for days in (7, 8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == ["told", "won"]
    assert Event.objects.count() == 1
    assert item_of("ceiling_board").version == 2
