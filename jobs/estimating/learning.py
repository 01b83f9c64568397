"""Rates learned from finished jobs, in closed form, and the spread of minutes; knows no rows."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from jobs.estimating import defaults
from jobs.estimating.reading import Node, limits

Z_80 = 0.8416212335729143  # 80 % of a normal lies below
SPAN_WIDTHS = 2 * 1.2815515655446004  # 80 % of a normal lies within
JOB_SIGMA = 0.3  # spread of single jobs about their own mean: from memory, a prior
JOB_SIGMA_WEIGHT = 4  # the prior spread counts as this many jobs
LEVEL_SIGMA = 0.15  # how far materials, machines or crews differ from one another: from memory
FEW = 3  # from so many jobs on the median is the middle
MAD_TO_SIGMA = 1.4826  # median absolute deviation to spread, of a normal
OUTLIER = 2.0  # a log ratio further than so many spreads is drawn in to there


def span_sigma(low: Fraction | float, high: Fraction | float) -> float:
    """Log spread of a rate whose stated span holds 80 % of jobs: ln(high/low) / 2.563."""
    return math.log(float(high) / float(low)) / SPAN_WIDTHS


def prior_sigma(kind: str) -> float:
    """Return the prior log spread of a kind of step, from its stated span."""
    low, high, _ = defaults.SPANS[kind]
    return span_sigma(Fraction(low), Fraction(high))


def share_80(sigma: float) -> float:
    """Return the 80 % value over the 50 % value of a lognormal: exp(0.8416 x sigma)."""
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
    bags_factor: float = 1.0


def read_learned(node: Node) -> dict[str, Learned]:
    """Return the factors by kind of step that a takeoff brings along."""
    return {kind: _read_one(node.child(kind), kind) for kind in defaults.SPANS if node.has(kind)}


def _read_one(node: Node, kind: str) -> Learned:
    factor = node.maybe("minutes_factor", "times the estimate", limits(0, 100))
    sigma = node.maybe("sigma", "", limits(0, 3, zero=True))
    bags = node.maybe("bags_factor", "times the chart's bags", limits("0.1", 10))
    jobs = node.whole("jobs", limits(zero=True))
    reason = node.text("pinned_because")
    return Learned(
        factor=float(factor) if factor is not None else 1.0,
        sigma=float(sigma) if sigma is not None else prior_sigma(kind),
        jobs=jobs,
        source=f"pinned by hand: {reason}" if reason else learned_from(jobs),
        bags_factor=float(bags) if bags is not None else 1.0,
    )


@dataclass(frozen=True, slots=True)
class Finished:
    """A finished step: what it was done with, and actual over estimated minutes (or bags)."""

    step: str
    ratio: float
    material: str = ""
    machine: str = ""
    crew: str = ""


def learn_rate(
    ratios: Sequence[float],
    prior_sigma: float,
    *,
    prior_factor: float = 1.0,
    job_sigma: float = JOB_SIGMA,
) -> Learned:
    """Return the factor on an estimate after finished jobs with these ratios of actual to estimate.

    Normal mean of the log ratios with a known prior, in closed form. With n log ratios y about
    the prior mean m of spread t, and s the spread of single jobs: weight w = (n/s^2) /
    (n/s^2 + 1/t^2), factor = exp(m + w (mean(y) - m)), spread of the factor
    1/sqrt(n/s^2 + 1/t^2); `sigma` is the spread of the next job, sqrt(spread^2 + s^2). The spread
    s is shrunk too: s^2 = (4 x job_sigma^2 + squares about the median) / (4 + n - 1). One wild
    job counts little: each y is first drawn in to two spreads of the middle, which is the prior
    below three jobs and the median from three on. The normal-normal update is textbook (Gelman
    and others, Bayesian Data Analysis, section 2.5, from memory). Raises ValueError where a
    ratio is not above zero or `prior_sigma` is not.
    """
    if prior_sigma <= 0 or job_sigma <= 0:
        raise ValueError("prior_sigma and job_sigma must be above zero")
    centre = math.log(prior_factor)
    logs = [_log(ratio) for ratio in ratios]
    if not logs:
        return Learned(prior_factor, prior_sigma, 0, prior_sigma)
    kept = _drawn_in(logs, centre, job_sigma)
    variance = _job_variance(kept, job_sigma)
    known, prior = len(kept) / variance, 1 / prior_sigma**2
    at = centre + known / (known + prior) * (sum(kept) / len(kept) - centre)
    left = 1 / (known + prior)
    wild = sum(abs(one - two) > 1e-12 for one, two in zip(logs, kept, strict=True))
    return Learned(
        factor=math.exp(at),
        sigma=math.sqrt(left + variance),
        jobs=len(kept),
        mean_sigma=math.sqrt(left),
        drawn_in=wild,
        source=learned_from(len(kept)),
    )


def learn_for(
    finished: Sequence[Finished],
    *,
    step: str,
    material: str = "",
    machine: str = "",
    crew: str = "",
) -> Learned:
    """Return the factor for a step by these means, from the widest record to the narrowest.

    First all finished steps of the kind move the prior; then those of the material, of the
    machine as well, of the crew as well, each moving what the wider record gave, with a spread of
    0.15 between the members of a level (from memory). A level without a job, or without a name,
    leaves the wider figure as it is. `jobs` counts the narrowest level that had any.
    """
    learned = learn_rate([], prior_sigma(step))
    spread, narrower = prior_sigma(step), list(finished)
    wanted = {"step": step, "material": material, "machine": machine, "crew": crew}
    for level, name in wanted.items():
        fits = [one for one in narrower if getattr(one, level) == name]
        if name and fits:
            ratios = [one.ratio for one in fits]
            learned = learn_rate(ratios, spread, prior_factor=learned.factor)
            narrower, spread = fits, LEVEL_SIGMA
    return learned


def learned_from(jobs: int) -> str:
    """Tell how many jobs stand behind a rate, in words."""
    return f"learned from {jobs} {'job' if jobs == 1 else 'jobs'}"


def _log(ratio: float) -> float:
    if not 0 < ratio < math.inf:
        raise ValueError(f"{ratio} is not a ratio of actual to estimate above zero")
    return math.log(ratio)


def _drawn_in(logs: Sequence[float], centre: float, job_sigma: float) -> list[float]:
    reach = OUTLIER * job_sigma
    if len(logs) >= FEW:
        centre = median(logs)
        reach = max(reach, OUTLIER * MAD_TO_SIGMA * median(abs(value - centre) for value in logs))
    return [min(max(value, centre - reach), centre + reach) for value in logs]


def _job_variance(logs: Sequence[float], job_sigma: float) -> float:
    middle = median(logs)
    squares = sum((value - middle) ** 2 for value in logs)
    return (JOB_SIGMA_WEIGHT * job_sigma**2 + squares) / (JOB_SIGMA_WEIGHT + len(logs) - 1)
