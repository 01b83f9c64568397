"""Rates learned from finished jobs, in closed form, and the spread of minutes; knows no rows."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from jobs.estimating import defaults
from jobs.estimating.reading import Node, limits

Z_80 = 0.8416212335729143  # 80 % of a normal lies below
SPAN_WIDTHS = 2 * 1.2815515655446004  # 80 % of a normal lies within
JOB_SIGMA = 0.3  # spread of single jobs about their own mean: from memory, a prior
JOB_SIGMA_WEIGHT = 4  # the prior spread counts as this many jobs
OUTLIER = 2.0  # a log ratio further than so many spreads is drawn in to there


def span_sigma(low: Fraction | float, high: Fraction | float) -> float:
    """Log spread of a rate whose stated span holds 80 % of jobs: ln(high/low) / 2.563."""
    return math.log(float(high) / float(low)) / SPAN_WIDTHS


def prior_sigma(kind: str) -> float:
    """The prior log spread of a kind of step, from its stated span."""
    low, high, _ = defaults.SPANS[kind]
    return span_sigma(Fraction(low), Fraction(high))


def share_80(sigma: float) -> float:
    """The 80 % value over the 50 % value of a lognormal: exp(0.8416 x sigma)."""
    return math.exp(Z_80 * sigma)


@dataclass(frozen=True, slots=True)
class Learned:
    """A factor on estimated minutes with its log spread for the next job and the jobs behind it."""

    factor: float
    sigma: float
    jobs: int
    mean_sigma: float = 0.0
    drawn_in: int = 0
    source: str = ""


def read_learned(node: Node) -> dict[str, Learned]:
    """The factors by kind of step that a takeoff brings along."""
    return {kind: _read_one(node.child(kind), kind) for kind in defaults.SPANS if node.has(kind)}


def _read_one(node: Node, kind: str) -> Learned:
    factor = node.maybe("minutes_factor", "times the estimate", limits(0, 100))
    sigma = node.maybe("sigma", "", limits(0, 3, zero=True))
    jobs = node.whole("jobs", limits(zero=True))
    reason = node.text("pinned_because")
    plural = "job" if jobs == 1 else "jobs"
    return Learned(
        factor=float(factor) if factor is not None else 1.0,
        sigma=float(sigma) if sigma is not None else prior_sigma(kind),
        jobs=jobs,
        source=f"pinned by hand: {reason}" if reason else f"learned from {jobs} {plural}",
    )


def learn_rate(
    log_ratios: Sequence[float],
    prior_sigma: float,
    *,
    prior_factor: float = 1.0,
    job_sigma: float = JOB_SIGMA,
) -> Learned:
    """The factor on an estimate after jobs whose ln(actual / estimate) are given.

    Normal mean with known prior, in closed form. With n log ratios y about the prior mean m of
    spread t, and s the spread of single jobs: weight w = (n/s^2) / (n/s^2 + 1/t^2), factor =
    exp(m + w (mean(y) - m)), spread of the factor 1/sqrt(n/s^2 + 1/t^2). The spread s is itself
    shrunk: s^2 = (4 x 0.3^2 + sum of squares about the median) / (4 + n). One wild job counts
    little: each y is first drawn in to two spreads of the middle (the prior mean below three
    jobs, then the median). `sigma` is the spread of the next job. For several levels (step,
    material, machine, crew) call again with the factor as `prior_factor` and the spread at which
    the finer level differs. Formula: textbook normal-normal update (Gelman and others, Bayesian
    Data Analysis, section 2.5, from memory).
    """
    centre = math.log(prior_factor)
    ratios = [value for value in log_ratios if math.isfinite(value)]
    kept = _drawn_in(ratios, centre, math.hypot(prior_sigma, job_sigma))
    spread2 = _job_variance(kept, job_sigma)
    known, prior = len(kept) / spread2, 1 / prior_sigma**2
    mean = sum(kept) / len(kept) if kept else centre
    at = centre + known / (known + prior) * (mean - centre)
    drawn = sum(abs(one - two) > 1e-12 for one, two in zip(ratios, kept, strict=True))
    left = 1 / (known + prior)
    sigma = math.sqrt(left + spread2) if kept else prior_sigma
    return Learned(math.exp(at), sigma, len(kept), math.sqrt(left), drawn)


def _drawn_in(ratios: Sequence[float], centre: float, widest: float) -> list[float]:
    if len(ratios) >= 3:
        centre = median(ratios)
    reach = OUTLIER * widest
    return [min(max(value, centre - reach), centre + reach) for value in ratios]


def _job_variance(ratios: Sequence[float], job_sigma: float) -> float:
    middle = median(ratios) if ratios else 0.0
    squares = sum((value - middle) ** 2 for value in ratios)
    weight = JOB_SIGMA_WEIGHT
    return (weight * job_sigma**2 + squares) / (weight + len(ratios))


def learn_factors(actual_over_estimate: Mapping[str, Sequence[float]]) -> dict[str, Learned]:
    """`learn_rate` for each kind of step, from ratios of actual to estimated minutes."""
    return {
        kind: learn_rate([math.log(r) for r in ratios if r > 0], prior_sigma(kind))
        for kind, ratios in actual_over_estimate.items()
    }
