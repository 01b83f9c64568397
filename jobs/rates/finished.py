"""What finished steps teach: factors by step, material and machine, paces of crews; reads no row.

A ratio is what a step took over what the branch's rates say with nothing learned, for as many
people and by the stated rates of the machine that was there.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from jobs.estimating import Finished, Learned, learn_for, learn_rate
from jobs.estimating.learning import LEVEL_SIGMA

# Bags vary less than minutes: thickness and chart hold them. From memory, a prior.
BAGS_SIGMA = 0.15


@dataclass(frozen=True)
class Record:
    """A finished step with its ratios; `bags_ratio` is None where no bags were counted."""

    kind: str
    material: str
    machine: str
    crew_id: int
    ratio: float
    bags_ratio: float | None = None

    @property
    def finished(self) -> Finished:
        """The record as the learning takes it."""
        return Finished(self.kind, self.ratio, self.material, self.machine)


@dataclass(frozen=True)
class Factor:
    """What was learned of a kind of step with a material and a machine, "" where of all."""

    kind: str
    material: str
    machine: str
    learned: Learned
    bags_factor: float


@dataclass(frozen=True)
class FinishedPace:
    """A crew's minutes over the usual ones at a kind of step, and from how many jobs."""

    crew_id: int
    kind: str
    pace: float
    jobs: int


def factors_of(records: Sequence[Record]) -> list[Factor]:
    """Return the factors of every kind of step that has a record, from the widest to the narrowest.

    For each kind: of all its records, of each material, of each machine, of each pair that was
    seen together, each by `learn_for`.
    """
    finished = [record.finished for record in records]
    return [
        Factor(
            kind,
            material,
            machine,
            learn_for(finished, step=kind, material=material, machine=machine),
            _bags_factor([r for r in records if _fits(r, kind, material, machine)]),
        )
        for kind, material, machine in sorted(_seen(records))
    ]


def _seen(records: Sequence[Record]) -> set[tuple[str, str, str]]:
    return {
        (record.kind, material, machine)
        for record in records
        for material, machine in product({"", record.material}, {"", record.machine})
    }


def _fits(record: Record, kind: str, material: str, machine: str) -> bool:
    is_of_means = material in ("", record.material) and machine in ("", record.machine)
    return record.kind == kind and is_of_means


def _bags_factor(records: Sequence[Record]) -> float:
    ratios = [record.bags_ratio for record in records if record.bags_ratio is not None]
    return learn_rate(ratios, BAGS_SIGMA, job_sigma=BAGS_SIGMA).factor


def paces_of(records: Sequence[Record], usual: Mapping[int, float]) -> list[FinishedPace]:
    """Return the pace of every crew at every kind of step that it has finished.

    Each ratio is first divided by the factor of its kind, material and machine; the rest is
    shrunk towards the pace that the crew has by hand (`usual`, by id) with a spread of 0.15
    between crews (from memory, a prior).
    """
    factor = {(f.kind, f.material, f.machine): f.learned.factor for f in factors_of(records)}
    rest: dict[tuple[int, str], list[float]] = {}
    for record in records:
        own = record.ratio / factor[record.kind, record.material, record.machine]
        rest.setdefault((record.crew_id, record.kind), []).append(own)
    return [
        FinishedPace(crew_id, kind, _pace(ratios, usual.get(crew_id, 1.0)), len(ratios))
        for (crew_id, kind), ratios in sorted(rest.items())
    ]


def _pace(ratios: Sequence[float], usual: float) -> float:
    return learn_rate(ratios, LEVEL_SIGMA, prior_factor=usual).factor
