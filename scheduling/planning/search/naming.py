"""Between crew-days of kinds and drafts of named crews; knows no prices and no solver.

Crews of one kind cannot be told apart, so that any crew-days of a kind can be shared out among
its crews; what differs is only how often a job passes from one crew to another.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from scipy.optimize import linear_sum_assignment

from scheduling.planning.columns.master import CrewDay
from scheduling.planning.columns.model import Ints, Model, Run, Stay
from scheduling.planning.columns.pieces import Pieces, Span
from scheduling.planning.search.draft import Arc, Draft, JobTable
from scheduling.planning.search.sharing import SharedBlock, fewest_handoffs

FORBIDDEN = 10**9


class Namer:
    """Turns drafts of named crews into crew-days of kinds and back."""

    def __init__(self, named: Model, tables: list[JobTable], pieces: Pieces) -> None:
        self.named = named
        self.tables = tables
        self.pieces = pieces
        kinds = pieces.model.kinds
        self.kind_of = {crew: k for k, kind in enumerate(kinds) for crew in kind}
        self._runs = {(r.job, r.first, r.until): i for i, r in enumerate(pieces.run_list)}
        self._spans: dict[tuple[object, ...], list[int]] = {}
        for i, span in enumerate(pieces.span_list):
            key = _key(span.stay, span.stay.kind)
            self._spans.setdefault(key, []).append(i)
        self._named_runs = {(r.job, r.first, r.until): r for runs in named.runs for r in runs}

    def crew_days(self, draft: Draft) -> list[CrewDay]:
        """Return the crew-days of kinds that a draft of named crews holds."""
        held: dict[tuple[int, int], list[int]] = {}
        for arcs in draft.arcs:
            for arc in arcs:
                doing = arc.doing
                if isinstance(doing, Stay):
                    for s in self._spans.get(_key(doing, self.kind_of[arc.crew]), ()):
                        day = int(self.pieces.stay_day[s])
                        held.setdefault((arc.crew, day), []).append(self.pieces.runs + s)
                else:
                    number = self._runs[doing.job, doing.first, doing.until]
                    held.setdefault((arc.crew, arc.day), []).append(number)
        return [
            CrewDay(self.kind_of[crew], day, tuple(sorted(numbers)))
            for (crew, day), numbers in held.items()
        ]

    def draft(self, crew_days: Iterable[CrewDay]) -> Draft:
        """Return a draft with these crew-days, shared out among crews with few hand-offs.

        Jobs that are there in part only are left out.
        """
        blocks = self._blocks(crew_days)
        crew_of = self._share_out(blocks)
        if any(len(kind) > 1 for kind in self.pieces.model.kinds):
            crew_of = fewest_handoffs(blocks, self.pieces.model.kinds, crew_of)
        arcs: dict[int, list[Arc]] = {}
        for block in blocks:
            for doing, day in block.doings:
                arcs.setdefault(doing.job, []).append(self._arc(doing, crew_of[block], day))
        draft = Draft(self.named, self.tables)
        for j, found in arcs.items():
            path = tuple(sorted(found, key=lambda arc: (arc.doing.first, arc.day)))
            if self._is_path(j, path):
                draft.put(j, path)
        return draft

    def _is_path(self, j: int, path: Sequence[Arc]) -> bool:
        """Tell whether arcs follow one another without a gap and in time."""
        if path[0].doing.first != 0:
            return False
        return all(
            a.until == b.doing.first and self.named.ready_after(j, a.until, a.days[-1]) <= b.day
            for a, b in pairwise(path)
        )

    def _arc(self, doing: Run | Stay, crew: int, day: int) -> Arc:
        if isinstance(doing, Stay):
            return Arc(crew, doing.days[0], replace(doing, kind=crew))
        return Arc(crew, day, self._named_runs[doing.job, doing.first, doing.until])

    def _blocks(self, crew_days: Iterable[CrewDay]) -> list[SharedBlock]:
        """Return what one crew must do together: stays with two rests join their crew-days."""
        groups: list[tuple[list[CrewDay], set[Stay]]] = []
        for crew_day in crew_days:
            stays = {span.stay for span in self._spans_of(crew_day) if len(span.stay.rests) > 1}
            joined = [group for group in groups if group[1] & stays]
            groups = [group for group in groups if not group[1] & stays]
            held = [each for group in joined for each in group[0]]
            groups.append(([*held, crew_day], stays.union(*(group[1] for group in joined))))
        return [self._block(held) for held, _ in groups]

    def _block(self, crew_days: Sequence[CrewDay]) -> SharedBlock:
        spans = [span for crew_day in crew_days for span in self._spans_of(crew_day)]
        days = {crew_day.day for crew_day in crew_days}
        doings: list[tuple[Run | Stay, int]] = []
        for crew_day in crew_days:
            for piece in crew_day.pieces:
                if piece < self.pieces.runs:
                    doings.append((self.pieces.run_list[piece], crew_day.day))
        for span in spans:
            days.update(span.stay.days[x] for x in (span.at, *span.whole))
            halves = sum(other.stay == span.stay for other in spans)
            if span.begins and halves == len(span.stay.rests):
                doings.append((span.stay, span.stay.days[0]))
        return SharedBlock(crew_days[0].kind, tuple(doings), min(days), max(days))

    def _spans_of(self, crew_day: CrewDay) -> list[Span]:
        runs = self.pieces.runs
        return [self.pieces.span_list[p - runs] for p in crew_day.pieces if p >= runs]

    def _share_out(self, blocks: Sequence[SharedBlock]) -> dict[SharedBlock, int]:
        """Return a crew for each block, day by day the ones that keep most jobs together."""
        crew_of: dict[SharedBlock, int] = {}
        done_by: dict[int, int] = {}
        busy_until = [-1] * len(self.named.crews)
        starts = sorted({(block.start, block.kind) for block in blocks})
        for start, kind in starts:
            group = [b for b in blocks if (b.start, b.kind) == (start, kind)]
            crews = self.pieces.model.kinds[kind]
            cost = self._strangeness(group, crews, done_by, [busy_until[c] < start for c in crews])
            for row, column in zip(*linear_sum_assignment(cost), strict=True):
                crew_of[group[row]] = crews[column]
                busy_until[crews[column]] = group[row].end
            for block in group:
                done_by.update({doing.job: crew_of[block] for doing, _ in block.doings})
        return crew_of

    def _strangeness(
        self,
        group: Sequence[SharedBlock],
        crews: Sequence[int],
        done_by: dict[int, int],
        is_free: Sequence[bool],
    ) -> Ints:
        cost = np.zeros((len(group), len(crews)), np.int64)
        for row, block in enumerate(group):
            for doing, _ in block.doings:
                if doing.first > 0:
                    cost[row] += [crew != done_by.get(doing.job) for crew in crews]
        cost[:, [not free for free in is_free]] = FORBIDDEN
        return cost


def _key(stay: Stay, kind: int) -> tuple[object, ...]:
    return (stay.job, stay.first, stay.until, kind, stay.days, stay.parts)
