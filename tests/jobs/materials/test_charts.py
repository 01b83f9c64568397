"""Charts of materials: kept, refused, kept in spite of doubts; open jobs follow, others stand."""

from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from contractor.models import Event, Material
from jobs.desk.services import Stale
from jobs.estimates.services.reprice import Repriced
from jobs.estimates.takeoff import takeoff_of
from jobs.estimating import estimate_takeoff
from jobs.materials.services import (
    DoubtfulRows,
    material_save,
    material_table_replace,
    table_doubts,
)
from jobs.models import Job, Space
from tests.jobs.rates.worked import attic_job, post, step_of
from tests.people import ACTOR, NOW, Company

pytestmark = pytest.mark.django_db


def line(r: str, initial: str, settled: str, weight: str, bags: str | None) -> dict[str, Any]:
    """One row of a chart. The numbers of the good ones: R-3.5 an inch, 1.6 lb/ft3, 25-lb bags."""
    values: dict[str, Any] = {
        "r": Decimal(r),
        "initial_in": Decimal(initial),
        "settled_in": Decimal(settled),
        "lb_per_ft2": weight,
    }
    return values | ({"bags_per_1000_ft2": Decimal(bags)} if bags else {})


R49 = line("49", "16.47", "14.00", "392/210", "74.67")
R60 = line("60", "20.17", "17.14", "480/210", "91.43")
HEAVY = line("49", "16.47", "14.00", "2", "74.67")  # 2 lb/ft2 are 80 bags of 25 lb


def replace(company: Company, rows: list[dict[str, Any]], **more: Any) -> Repriced:
    material = Material.objects.get(pk=company.cellulose.pk)
    given = {"table": "chart", "version": material.version, **more}
    return material_table_replace(material_id=material.pk, rows=rows, actor=ACTOR, now=NOW, **given)


def bags(job: Job) -> int:
    return int(step_of(job).loads[0]["quantity"])


def test_a_new_chart_gives_open_jobs_new_bags(company: Company) -> None:
    """1,500 ft2 at 1.9 lb/ft2 in bags of 25 lb: 114 bags (worked by hand)."""
    job, posted = attic_job(company, "Open"), attic_job(company, "Posted")
    post(posted, company.north)
    light = line("49", "16.47", "14.00", "1.9", "76")
    assert replace(company, [light]) == Repriced(changed=1, posted=1)
    assert (bags(job), bags(posted)) == (114, 112)
    event = Event.objects.get(verb="charted")
    before, after = event.what["rows"]
    assert (len(before), len(after)) == (6, 1)
    assert after[0]["lb_per_ft2"] == "1.9"


def test_the_same_chart_again_changes_nothing(company: Company) -> None:
    replace(company, [R60, R49])
    count = Event.objects.count()
    assert replace(company, [R49, R60]) == Repriced()
    assert Event.objects.count() == count


def test_a_row_at_odds_with_itself_is_kept_only_with_a_reason(company: Company) -> None:
    with pytest.raises(DoubtfulRows) as error:
        replace(company, [HEAVY, R60])
    (doubt,) = error.value.doubts
    assert doubt.row == 0
    assert "lb/ft2 is 2 but bags x bag weight / 1000 gives 1.867" in doubt.text
    assert company.cellulose.chart.count() == 6
    replace(company, [HEAVY, R60], kept_because="so it stands on the label of May")
    kept = {row.r: row.kept_because for row in company.cellulose.chart.all()}
    assert kept == {Decimal(49): "so it stands on the label of May", Decimal(60): ""}


def test_a_difference_of_two_per_cent_is_no_doubt(company: Company) -> None:
    """74.67 bags x 25 lb are 1.867 lb/ft2; 1.90 is 1.8 % more, 1.91 is 2.3 %."""
    near, far = (
        line("49", "16.47", "14", "1.90", "74.67"),
        line("49", "16.47", "14", "1.91", "74.67"),
    )
    rows = table_doubts(company.cellulose, "chart", [near])
    assert [doubt for doubt in rows if doubt.row is not None] == []
    assert any(doubt.row == 0 for doubt in table_doubts(company.cellulose, "chart", [far]))


def test_settling_and_density_are_held_against_the_depths(company: Company) -> None:
    company.cellulose.settle = Decimal("0.10")
    texts = [doubt.text for doubt in table_doubts(company.cellulose, "chart", [R49])]
    assert any("settled / (1 - settling)" in text for text in texts)


def test_the_law_s_list_of_r_values_is_told_and_holds_nothing(company: Company) -> None:
    """16 CFR 460.12(b)(2) lists R-13, 19, 22, 30, 38 and 49 for loose fill."""
    (doubt,) = table_doubts(company.cellulose, "chart", [R49])
    assert doubt.row is None
    assert "R-13, R-19, R-22, R-30, R-38" in doubt.text
    assert "460.12" in doubt.source
    assert replace(company, [R49]) is not None


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (line("49", "12", "14", "1.867", "74.67"), "Line 1, initial_in"),
        (line("49", "16.47", "14", "two", "74.67"), "Line 1, lb_per_ft2"),
        (line("49", "16.47", "14", "1/0", "74.67"), "Line 1, lb_per_ft2"),
        (line("49", "16.47", "14", "-1", "74.67"), "Line 1, lb_per_ft2"),
    ],
)
def test_a_row_that_cannot_be_is_refused_whatever_is_said(
    company: Company, row: dict[str, Any], words: str
) -> None:
    with pytest.raises(ValidationError, match=words):
        replace(company, [row], kept_because="because")
    assert company.cellulose.chart.count() == 6
    assert not Event.objects.filter(verb="charted").exists()


def test_who_saw_an_older_chart_changes_nothing(company: Company) -> None:
    replace(company, [R49])
    with pytest.raises(Stale) as error:
        replace(company, [R60], version=1)
    assert error.value.present.version == 2


def test_an_open_job_above_the_new_chart_is_named_and_stands(company: Company) -> None:
    job = attic_job(company, "Open")
    repriced = replace(company, [line("30", "10.08", "8.57", "240/210", "45.71")])
    assert (repriced.changed, len(repriced.refused)) == (0, 1)
    assert str(job) in repriced.refused[0]
    assert bags(job) == 112


def test_a_cavity_chart_gives_a_slope_its_r(company: Company) -> None:
    rows = [{"depth_in": Decimal(8), "r": Decimal(28), "lb_per_ft3": Decimal(3)}]
    replace(company, rows, table="cavity")
    material = Material.objects.get(pk=company.cellulose.pk)
    slope = Space(
        name="s",
        kind="slope_bays",
        bays=4,
        length_ft=Decimal(16),
        depth_in=Decimal("9.25"),
        lb_per_ft3=Decimal("3.5"),
        cover="net",
        material=material,
    )
    estimate = estimate_takeoff(takeoff_of([slope], None))
    assert estimate.spaces[0].steps[-1].facts["r"] == 28


def test_a_deeper_cavity_with_less_r_is_doubtful(company: Company) -> None:
    rows = [
        {"depth_in": Decimal(d), "r": Decimal(r), "lb_per_ft3": Decimal(3)}
        for d, r in ((8, 28), (10, 25))
    ]
    with pytest.raises(DoubtfulRows):
        replace(company, rows, table="cavity")


def test_batt_sizes_make_packages(company: Company) -> None:
    """800 ft2 of wall at 16 in: the estimate takes packages of the size that is kept."""
    size = {
        "r": Decimal(19),
        "thickness_in": Decimal("5.5"),
        "width_in": Decimal(15),
        "package_ft2": Decimal(50),
    }
    material = company.batts
    material_table_replace(
        material_id=material.pk, version=1, table="batts", rows=[size], actor=ACTOR, now=NOW
    )
    wall = Space(
        name="w",
        kind="walls",
        area_ft2=Decimal(800),
        depth_in=Decimal("5.5"),
        material=Material.objects.get(pk=material.pk),
    )
    (step,) = estimate_takeoff(takeoff_of([wall], None)).spaces[0].steps
    own = step.loads[0]
    assert (step.facts["r"], own.unit) == (19, "packages")
    assert own.quantity == step.facts["packages"]
    assert "like" not in str(takeoff_of([wall], None)["materials"])


def test_a_material_is_made_and_changed(company: Company) -> None:
    values = {"key": "wool", "name": "Test wool", "kind": "loose_fill", "bag_lb": Decimal(30)}
    wool, _ = material_save(material_id=None, version=0, values=values, actor=ACTOR, now=NOW)
    changed, _ = material_save(
        material_id=wool.pk, version=1, values={"bag_lb": Decimal(28)}, actor=ACTOR, now=NOW
    )
    assert (changed.bag_lb, changed.version) == (Decimal(28), 2)
    assert [e.verb for e in Event.objects.filter(noun="material").order_by("pk")] == [
        "created",
        "changed",
    ]


def test_a_heavier_bag_needs_fewer_of_them(company: Company) -> None:
    """2,800 lb in bags of 28 lb are 100 bags (worked by hand)."""
    job = attic_job(company, "Open")
    _, repriced = material_save(
        material_id=company.cellulose.pk,
        version=1,
        values={"bag_lb": Decimal(28)},
        actor=ACTOR,
        now=NOW,
    )
    assert repriced == Repriced(changed=1)
    assert bags(job) == 100


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"bag_lb": None}, "__all__"),
        ({"settle": Decimal("0.95")}, "__all__"),
        ({"kind": "batt"}, "kind"),
        ({"name": ""}, "name"),
        ({"key": "two words"}, "key"),
    ],
)
def test_a_material_that_cannot_be_is_refused(
    company: Company, values: dict[str, Any], field: str
) -> None:
    with pytest.raises(ValidationError) as error:
        material_save(
            material_id=company.cellulose.pk, version=1, values=values, actor=ACTOR, now=NOW
        )
    assert field in error.value.message_dict
    assert Material.objects.get(pk=company.cellulose.pk).version == 1


def test_the_dates_of_a_chart_reach_the_estimate(company: Company) -> None:
    job = attic_job(company, "Open")
    values = {"valid_to": NOW.date().replace(year=2026)}
    material_save(material_id=company.cellulose.pk, version=1, values=values, actor=ACTOR, now=NOW)
    assert job.spaces.get().warnings.filter(code="chart_dates").exists()


def test_foam_of_our_own_is_counted_by_its_cans(company: Company) -> None:
    foam = Material.objects.create(
        key="our-foam", name="Our foam", kind="foam_can", can_board_ft=Decimal(1)
    )
    seal = Space(name="s", kind="air_seal", length_ft=Decimal(220), material=foam)
    (step,) = estimate_takeoff(takeoff_of([seal], None)).spaces[0].steps
    # 220 ft x 0.01636 board-ft of bead are 3.6 board-feet: 4 cans of one (worked by hand).
    assert step.facts["foam_cans"] == 4
