"""Shares crew-days out among crews of a kind with the fewest hand-offs (CP-SAT); no prices."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ortools.sat.python import cp_model

from scheduling.planning.columns.model import Run, Stay

# CP-SAT's own measure of work, the same on every machine; about a second.
WORK = 1.0


@dataclass(frozen=True, eq=False)
class SharedBlock:
    """Crew-days of a kind that one crew must do: what is done there, each with its first day."""

    kind: int
    doings: tuple[tuple[Run | Stay, int], ...]
    start: int
    end: int


Pair = tuple[SharedBlock, SharedBlock]


def fewest_handoffs(
    blocks: Sequence[SharedBlock],
    kinds: Sequence[Sequence[int]],
    crew_of: Mapping[SharedBlock, int],
) -> dict[SharedBlock, int]:
    """Return a crew for each block so that jobs pass between crews of a kind the least.

    `crew_of` is a way that works; it comes back where none better is found.
    """
    pairs = [pair for pair in _successions(blocks) if _same_kind(pair)]
    if all(crew_of[a] == crew_of[b] for a, b in pairs):
        return dict(crew_of)
    model = cp_model.CpModel()
    takes = {
        block: {crew: model.new_bool_var("") for crew in kinds[block.kind]} for block in blocks
    }
    for block, choice in takes.items():
        model.add_exactly_one(choice.values())
        for crew, variable in choice.items():
            model.add_hint(variable, crew_of[block] == crew)
    _forbid_overlaps(model, takes)
    passes = [_passes(model, takes, pair) for pair in pairs]
    for passed, (a, b) in zip(passes, pairs, strict=True):
        model.add_hint(passed, crew_of[a] != crew_of[b])
    model.minimize(cp_model.LinearExpr.sum(passes))
    return _solved(model, takes) or dict(crew_of)


def _successions(blocks: Iterable[SharedBlock]) -> list[Pair]:
    """Return which block goes on with a job after which."""
    by_job: dict[int, list[tuple[int, SharedBlock]]] = {}
    for block in blocks:
        for doing, _ in block.doings:
            by_job.setdefault(doing.job, []).append((doing.first, block))
    pairs: dict[Pair, None] = {}
    for found in by_job.values():
        found.sort(key=lambda each: each[0])
        for (_, a), (_, b) in pairwise(found):
            pairs[a, b] = None
    return list(pairs)


def _same_kind(pair: Pair) -> bool:
    return pair[0].kind == pair[1].kind and pair[0] is not pair[1]


def _forbid_overlaps(
    model: cp_model.CpModel, takes: Mapping[SharedBlock, Mapping[int, cp_model.IntVar]]
) -> None:
    by_day: dict[tuple[int, int], list[cp_model.IntVar]] = {}
    for block, choice in takes.items():
        for day in range(block.start, block.end + 1):
            for crew, variable in choice.items():
                by_day.setdefault((crew, day), []).append(variable)
    for variables in by_day.values():
        model.add_at_most_one(variables)


def _passes(
    model: cp_model.CpModel,
    takes: Mapping[SharedBlock, Mapping[int, cp_model.IntVar]],
    pair: Pair,
) -> cp_model.IntVar:
    """Return a variable that is 1 where the two blocks have different crews."""
    passed = model.new_bool_var("")
    for crew, variable in takes[pair[0]].items():
        model.add_implication(variable, takes[pair[1]][crew]).only_enforce_if(~passed)
    return passed


def _solved(
    model: cp_model.CpModel, takes: Mapping[SharedBlock, Mapping[int, cp_model.IntVar]]
) -> dict[SharedBlock, int] | None:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = WORK
    # Else it would take SIGINT for itself, and whoever solves would not hear of it.
    solver.parameters.catch_sigint_signal = False
    status = solver.solve(model)
    if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return None
    return {
        block: next(crew for crew, variable in choice.items() if solver.boolean_value(variable))
        for block, choice in takes.items()
    }
