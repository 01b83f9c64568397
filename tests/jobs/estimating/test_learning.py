"""Learning of rates: shrinking, levels, one wild job, against a numeric integration."""

import math
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.estimating import Finished, learn_for, learn_rate, prior_sigma
from jobs.estimating.defaults import SPANS
from jobs.estimating.learning import JOB_SIGMA, LEVEL_SIGMA, span_sigma


def test_without_jobs_the_prior_stands() -> None:
    learned = learn_rate([], 0.4, prior_factor=1.2)
    assert (learned.factor, learned.sigma, learned.jobs) == (1.2, 0.4, 0)


def test_one_job_moves_the_prior_part_of_the_way() -> None:
    learned = learn_rate([1.2], 0.3)
    # Job spread 0.3 equals the prior's: half the way, on the log scale.
    assert learned.factor == pytest.approx(math.sqrt(1.2))
    assert learned.source == "learned from 1 job"


def test_many_jobs_outweigh_the_prior() -> None:
    learned = learn_rate([1.5] * 100, 0.3)
    assert learned.factor == pytest.approx(1.5, rel=0.01)
    assert learned.mean_sigma < 0.02


def test_against_a_numeric_integration() -> None:
    # The posterior mean by brute force over the mean's grid: prior normal x likelihood normal.
    ratios, prior = [1.1, 1.3, 0.9, 1.25, 1.4], 0.35
    logs = [math.log(ratio) for ratio in ratios]
    middle = sorted(logs)[2]
    variance = (4 * 0.3**2 + sum((y - middle) ** 2 for y in logs)) / (4 + 4)
    grid = [-3 + step / 1000 for step in range(6001)]
    weights = [
        NormalDist(0, prior).pdf(mean)
        * math.prod(NormalDist(mean, math.sqrt(variance)).pdf(y) for y in logs)
        for mean in grid
    ]
    mean = sum(m * w for m, w in zip(grid, weights, strict=True)) / sum(weights)
    spread2 = sum((m - mean) ** 2 * w for m, w in zip(grid, weights, strict=True)) / sum(weights)
    learned = learn_rate(ratios, prior)
    assert math.log(learned.factor) == pytest.approx(mean, abs=1e-6)
    assert learned.mean_sigma == pytest.approx(math.sqrt(spread2), rel=1e-4)
    assert learned.sigma == pytest.approx(math.sqrt(spread2 + variance), rel=1e-4)


def test_one_wild_job_among_ten_hardly_counts() -> None:
    calm = [0.95, 1.0, 1.05, 1.1, 0.9, 1.0, 1.02, 0.98, 1.0]
    wild = learn_rate([*calm, 20.0], 0.3)
    assert wild.drawn_in == 1
    assert wild.factor < 1.1 * learn_rate(calm, 0.3).factor


def test_a_wild_job_is_drawn_in_to_two_spreads_of_the_median() -> None:
    # Median ln 3; absolute deviations 0, 0.2, 0.2, 0.4, 2.3: their median 0.2 is a spread of
    # 0.297, under the 0.3 of single jobs, so the reach is 0.6.
    offsets = [0.0, 0.2, -0.2, -0.4, 2.3]
    tame = [math.exp(math.log(3) + offset) for offset in [0.0, 0.2, -0.2, -0.4, 0.6]]
    wild = learn_rate([math.exp(math.log(3) + offset) for offset in offsets], 0.4)
    assert wild.drawn_in == 1
    assert wild.factor == pytest.approx(learn_rate(tame, 0.4).factor)


def test_a_wide_record_draws_in_less() -> None:
    # Deviations 0, 0.5, 0.5, 0.5, 1.4: a spread of 0.741, so 1.4 lies within twice of it.
    ratios = [math.exp(1 + offset) for offset in [0.0, 0.5, -0.5, 0.5, -1.4]]
    assert learn_rate(ratios, 0.4).drawn_in == 0


def test_a_single_wild_job_cannot_more_than_double_a_rate() -> None:
    assert 1 < learn_rate([50.0], prior_sigma("air_seal")).factor < 2


def test_jobs_that_agree_are_believed_however_far_they_are() -> None:
    learned = learn_rate([3.0] * 12, 0.3)
    assert learned.drawn_in == 0
    assert learned.factor > 2.5


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_what_is_no_ratio_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="not a ratio"):
        learn_rate([1.0, bad], 0.3)


def test_a_prior_without_spread_is_refused() -> None:
    with pytest.raises(ValueError, match="above zero"):
        learn_rate([1.0], 0)


@given(st.lists(st.floats(0.05, 20), min_size=1, max_size=30))
def test_the_factor_lies_between_the_prior_and_the_jobs(ratios: list[float]) -> None:
    learned = learn_rate(ratios, 0.3)
    assert min([1.0, *ratios]) <= learned.factor * (1 + 1e-9)
    assert learned.factor <= max([1.0, *ratios]) * (1 + 1e-9)
    assert 0 < learned.mean_sigma < 0.3


@given(st.floats(0.5, 2), st.integers(1, 40))
def test_more_jobs_of_one_kind_know_more(ratio: float, jobs: int) -> None:
    some, more = learn_rate([ratio] * jobs, 0.3), learn_rate([ratio] * (jobs + 1), 0.3)
    assert more.mean_sigma < some.mean_sigma
    assert abs(math.log(more.factor / ratio)) <= abs(math.log(some.factor / ratio)) + 1e-12


def jobs(ratio: float, count: int, **means: str) -> list[Finished]:
    return [Finished("slope_blow", ratio, **means) for _ in range(count)]


def test_a_crew_with_a_record_differs_from_one_without() -> None:
    record = jobs(1.0, 20, crew="Ash") + jobs(1.4, 20, crew="Elm")
    ash, elm = (learn_for(record, step="slope_blow", crew=name) for name in ("Ash", "Elm"))
    none = learn_for(record, step="slope_blow", crew="Oak")
    assert ash.factor < none.factor < elm.factor
    assert (ash.jobs, none.jobs) == (20, 40)


def test_a_narrow_record_moves_what_the_wider_one_gave() -> None:
    record = jobs(1.2, 30, material="cellulose", machine="red")
    by_hand = learn_rate([1.2] * 30, prior_sigma("slope_blow"))
    by_hand = learn_rate([1.2] * 30, LEVEL_SIGMA, prior_factor=by_hand.factor)
    found = learn_for(record, step="slope_blow", material="cellulose")
    assert found.factor == pytest.approx(by_hand.factor)


def test_other_steps_teach_nothing() -> None:
    learned = learn_for(jobs(3.0, 10), step="flat_blow")
    assert (learned.factor, learned.jobs) == (1.0, 0)


@pytest.mark.parametrize("kind", SPANS)
def test_every_prior_s_span_holds_four_in_five(kind: str) -> None:
    low, high, words = SPANS[kind]
    spread = NormalDist(math.log(math.sqrt(float(low) * float(high))), prior_sigma(kind))
    share = spread.cdf(math.log(float(high))) - spread.cdf(math.log(float(low)))
    assert share == pytest.approx(0.8)
    assert f"{low} to {high}" in words


def test_a_wider_span_is_a_wider_spread() -> None:
    assert span_sigma(3, 8) > span_sigma(5, 12) > 0
    assert JOB_SIGMA > 0
