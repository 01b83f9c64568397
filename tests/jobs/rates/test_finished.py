"""What finished steps teach: checked against the normal update worked out by hand."""

import math

import pytest

from jobs.estimating import prior_sigma
from jobs.rates.finished import BAGS_SIGMA, Factor, Record, factors_of, paces_of

JOB_SIGMA = 0.3


def flat(ratio: float, crew: int = 1, machine: str = "Blue", **more: float) -> Record:
    return Record("flat_blow", "cellulose", machine, crew, ratio, more.get("bags"))


def of(factors: list[Factor], material: str = "", machine: str = "") -> Factor:
    (found,) = [f for f in factors if (f.material, f.machine) == (material, machine)]
    return found


def normal_update(logs: list[float], spread: float, job_variance: float) -> float:
    """Mean of a normal with known variance and a prior about nought.

    Gelman and others, Bayesian Data Analysis, section 2.5 (from memory).
    """
    known = len(logs) / job_variance
    return known / (known + 1 / spread**2) * sum(logs) / len(logs)


def test_nothing_finished_teaches_nothing() -> None:
    assert factors_of([]) == []
    assert paces_of([], {}) == []


def test_one_job_moves_the_factor_as_the_normal_update_says() -> None:
    factor = of(factors_of([flat(1.2)]))
    expected = normal_update([math.log(1.2)], prior_sigma("flat_blow"), JOB_SIGMA**2)
    assert factor.learned.factor == pytest.approx(math.exp(expected))
    assert factor.learned.jobs == 1
    assert 1 < factor.learned.factor < 1.2


def test_each_material_and_machine_that_was_seen_has_its_factor() -> None:
    records = [flat(1.1), flat(0.9, machine="Old"), Record("batt", "batts", "", 1, 1.0)]
    found = {(f.kind, f.material, f.machine) for f in factors_of(records)}
    assert found == {
        ("batt", "", ""),
        ("batt", "batts", ""),
        *(("flat_blow", m, n) for m in ("", "cellulose") for n in ("", "Blue", "Old")),
    }


def test_the_machine_that_is_slow_gets_the_higher_factor() -> None:
    factors = factors_of([flat(1.3, machine="Old")] * 5 + [flat(0.9)] * 5)
    old, blue = of(factors, machine="Old"), of(factors, machine="Blue")
    assert blue.learned.factor < of(factors).learned.factor < old.learned.factor
    assert (old.learned.jobs, of(factors).learned.jobs) == (5, 10)


def test_one_wild_job_counts_little() -> None:
    calm = of(factors_of([flat(1.0)] * 9)).learned
    wild = of(factors_of([*[flat(1.0)] * 9, flat(50.0)])).learned
    assert wild.drawn_in == 1
    assert wild.factor < calm.factor * 1.1


def test_bags_are_learned_apart_and_only_where_they_were_counted() -> None:
    assert of(factors_of([flat(1.4)])).bags_factor == 1
    factor = of(factors_of([flat(1.0, bags=1.1), flat(1.0)]))
    expected = normal_update([math.log(1.1)], BAGS_SIGMA, BAGS_SIGMA**2)
    assert factor.bags_factor == pytest.approx(math.exp(expected))


def test_a_quick_crew_gets_a_pace_under_one_and_a_slow_one_above() -> None:
    records = [flat(0.8, crew=1), flat(1.2, crew=2)] * 6
    quick, slow = paces_of(records, {1: 1.0, 2: 1.0})
    assert quick.pace < 1 < slow.pace
    assert (quick.crew_id, quick.kind, quick.jobs) == (1, "flat_blow", 6)


def test_a_pace_is_drawn_towards_the_one_set_by_hand() -> None:
    (pace,) = paces_of([flat(1.0)], {1: 0.7})
    assert 0.7 < pace.pace < 1.0


def test_a_crew_is_not_blamed_for_its_machine() -> None:
    """Crew 2 alone has the old machine: what is slow there is told of the machine first."""
    records = [flat(1.0, crew=1)] * 8 + [flat(1.5, crew=2, machine="Old")] * 8
    paces = {pace.crew_id: pace.pace for pace in paces_of(records, {})}
    assert paces[2] < 1.15
