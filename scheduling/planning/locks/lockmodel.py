"""The rules for jobs with something fixed as a CP-SAT model without costs; finds one plan.

Only those jobs are in it, each up to its last fixed step: everything else may be left out.
Every rule is written down as `rules.py` reads it, so that "there is none" can be believed.
"""

from __future__ import annotations

import threading
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ortools.sat.python import cp_model

from scheduling.planning.plan import Part, Plan, Stop, Visit
from scheduling.planning.problem import Assignment, Job, Problem, Step

# How often a search is asked whether to give up, in seconds.
POLL_SECONDS = 0.1

Literal = cp_model.IntVar
Day = tuple[str, int]


class Unsure(Exception):
    """The search was over before it knew."""


def place_locks(
    problem: Problem, entries: Sequence[Assignment], is_over: Callable[[], bool]
) -> Plan | None:
    """Return a plan that keeps these entries and every rule, None where there is none.

    Raises Unsure where `is_over` said so first.
    """
    if not entries:
        return Plan()
    model = _LockModel(problem, entries)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    # Else it would take SIGINT for itself, and whoever solves would not hear of it.
    solver.parameters.catch_sigint_signal = False
    status = _solve(solver, model.cp, is_over)
    if status == cp_model.INFEASIBLE:
        return None
    if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        raise Unsure
    return model.plan(solver)


def _solve(solver: cp_model.CpSolver, cp: cp_model.CpModel, is_over: Callable[[], bool]) -> object:
    if is_over():
        raise Unsure
    ended = threading.Event()

    def watch() -> None:
        while not ended.wait(POLL_SECONDS):
            if is_over():
                solver.stop_search()

    watcher = threading.Thread(target=watch, daemon=True)
    watcher.start()
    try:
        return solver.solve(cp)
    finally:
        ended.set()
        watcher.join()


@dataclass(frozen=True)
class LockWindow:
    """The days on which a step may start, and the last one on which it may end."""

    first: int
    last_start: int
    last_end: int


class _Stint:
    """A step done by one crew: on which days, how many minutes, where it starts and ends."""

    def __init__(self, cp: cp_model.CpModel, step: Step, crew: str, days: list[int]) -> None:
        self.step, self.crew, self.days = step, crew, days
        self.minutes = step.minutes[crew]
        self.done = cp.new_bool_var("")
        self.on, self.first, self.last = (
            {day: cp.new_bool_var("") for day in days} for _ in range(3)
        )
        self.part = {day: cp.new_int_var(0, self.minutes, "") for day in days}
        for day in days:
            cp.add(self.part[day] >= 1).only_enforce_if(self.on[day])
            cp.add(self.part[day] == 0).only_enforce_if(~self.on[day])
            cp.add_implication(self.first[day], self.on[day])
            cp.add_implication(self.last[day], self.on[day])
        goes_on: cp_model.LinearExpr | None = None
        for day in days:
            first = self.first[day]
            cp.add(self.on[day] == (first if goes_on is None else first + goes_on))
            goes_on = self.on[day] - self.last[day]
        cp.add(sum(self.first.values()) == self.done)
        cp.add(sum(self.last.values()) == self.done)
        cp.add(sum(self.part.values()) == self.minutes * self.done)


class _LockModel:
    """Variables and rules for the jobs of some entries."""

    def __init__(self, problem: Problem, entries: Sequence[Assignment]) -> None:
        self.cp, self.problem = cp_model.CpModel(), problem
        self.barred = set(problem.barred)
        self.jobs: list[tuple[Job, list[list[_Stint]]]] = []
        self.stop: defaultdict[Day, dict[str, Literal]] = defaultdict(dict)
        self.work: defaultdict[Day, list[Literal]] = defaultdict(list)
        self.takes: defaultdict[tuple[Day, str], list[Literal]] = defaultdict(list)
        self.used: dict[Day, cp_model.LinearExprT] = {}
        self.arcs: dict[Day, list[tuple[str, str, Literal]]] = {}
        self._add_jobs(entries)
        for day, jobs in self.stop.items():
            self._add_crew_day(day, jobs)
        for _, steps in self.jobs:
            for stint in (stint for stints in steps for stint in stints):
                self._divide(stint)
        self._limit_machines()

    def plan(self, solver: cp_model.CpSolver) -> Plan:
        """Return the plan of a solution, its stops in the order of the arcs."""
        parts: defaultdict[tuple[Day, str], list[Part]] = defaultdict(list)
        for job, steps in self.jobs:
            for stint in (stint for stints in steps for stint in stints):
                for day, minutes in stint.part.items():
                    if solver.value(minutes):
                        key = (stint.crew, day), job.id
                        parts[key].append(Part(stint.step.id, solver.value(minutes)))
        visits = []
        for crew_day in sorted({day for day, _ in parts}):
            after = {a: b for a, b, arc in self.arcs[crew_day] if solver.value(arc)}
            stops, name = [], after[""]
            while name:
                stops.append(Stop(name, tuple(parts[crew_day, name])))
                name = after[name]
            visits.append(Visit(*crew_day, tuple(stops)))
        return Plan(tuple(visits))

    def _add_jobs(self, entries: Sequence[Assignment]) -> None:
        fixed = {entry.step: entry for entry in entries}
        for job in self.problem.jobs:
            last = max((i for i, step in enumerate(job.steps) if step.id in fixed), default=-1)
            needed = job.steps[: last + 1]
            windows = _windows(needed, fixed, len(self.problem.days))
            steps = [
                list(self._stints(job, step, window, fixed.get(step.id)))
                for step, window in zip(needed, windows, strict=True)
            ]
            self.jobs.append((job, steps))
            self._add_stops(job, steps)
            for step, (before, after) in zip(needed[1:], pairwise(steps), strict=True):
                self.cp.add(_start(after) >= _end(before) + step.lag_days)

    def _stints(
        self, job: Job, step: Step, window: LockWindow, fixed: Assignment | None
    ) -> Iterator[_Stint]:
        """Yield what each able crew may do of a step; one of them does it all."""
        stints = []
        for crew in step.minutes if fixed is None else [fixed.crew]:
            days = sorted(self._days(job, step, crew, window))
            stint = _Stint(self.cp, step, crew, days)
            stints.append(stint)
            for day in days:
                is_open = step.risk[day] < 1 and Assignment(step.id, crew, day) not in self.barred
                if not is_open or not window.first <= day <= window.last_start:
                    self.cp.add(stint.first[day] == 0)
                self.work[crew, day].append(stint.part[day])
                if step.machine is not None:
                    self.takes[(crew, day), step.machine].append(stint.on[day])
        self.cp.add_exactly_one([stint.done for stint in stints])
        yield from stints

    def _days(self, job: Job, step: Step, name: str, window: LockWindow) -> set[int]:
        """Return the days on which a crew could be at a step that starts in a window."""
        crew, problem = self.problem.crew_by_id[name], self.problem
        back = problem.drive(job.place, crew.home)
        working = [d for d, usual in enumerate(crew.minutes) if usual and d >= window.first]
        found: set[int] = set()
        for x, start in enumerate(working):
            if start > window.last_start:
                break
            # On every day between the first and the last the step fills the crew's day.
            whole: list[int] = []
            for day in working[x:]:
                drive = problem.drive(crew.start_on(day), job.place) + back
                whole.append(max(0, crew.minutes[day] - drive - job.setup_minutes))
                if day > window.last_end or sum(whole[1:-1]) >= step.minutes[name]:
                    break
                found.add(day)
        return found

    def _add_stops(self, job: Job, steps: list[list[_Stint]]) -> None:
        """Let a crew stop at a job on the days on which it works there, no two crews on one day."""
        works: defaultdict[Day, list[Literal]] = defaultdict(list)
        for stint in (stint for stints in steps for stint in stints):
            for day in stint.days:
                works[stint.crew, day].append(stint.on[day])
        for key, on in works.items():
            self.stop[key][job.id] = self.cp.new_bool_var("")
            self.cp.add_max_equality(self.stop[key][job.id], on)
        for day in range(len(self.problem.days)):
            self.cp.add_at_most_one([self.stop[key][job.id] for key in works if key[1] == day])

    def _add_crew_day(self, key: Day, stops: dict[str, Literal]) -> None:
        """Fit work, set-ups and a tour of the stops into the crew's day with its overtime."""
        problem, cp = self.problem, self.cp
        crew = problem.crew_by_id[key[0]]
        stands = {job: problem.job_by_id[job].place for job in stops}
        place = {"": crew.start_on(key[1])} | stands
        back = {"": crew.home} | stands
        node = {name: i for i, name in enumerate(place)}
        arcs = [(a, b, cp.new_bool_var("")) for a in place for b in place if a != b]
        idle = cp.new_bool_var("")
        loops = [(node[job], node[job], ~stop) for job, stop in stops.items()]
        for stop in stops.values():
            cp.add_implication(stop, ~idle)
        tour = [(node[a], node[b], arc) for a, b, arc in arcs]
        cp.add_circuit([*tour, *loops, (0, 0, idle)])
        cp.add(sum(stops.values()) <= problem.max_stops)
        drive = sum(problem.drive(place[a], back[b]) * arc for a, b, arc in arcs)
        set_up = sum(problem.job_by_id[job].setup_minutes * stop for job, stop in stops.items())
        self.used[key] = sum(self.work[key]) + drive + set_up
        cp.add(self.used[key] <= crew.minutes[key[1]] + crew.overtime[key[1]])
        self.arcs[key] = arcs

    def _divide(self, stint: _Stint) -> None:
        """Give a divided step whole days, one of which may fall short, and a rest at one end."""
        cp, least = self.cp, self.problem.min_part_minutes
        divided, rest_first, falls_short = (cp.new_bool_var("") for _ in range(3))
        short = {day: cp.new_bool_var("") for day in stint.days}
        cp.add(sum(short.values()) == falls_short)
        for day in stint.days:
            first, last, on = stint.first[day], stint.last[day], stint.on[day]
            part = stint.part[day]
            cp.add_bool_or(~first, ~last, ~divided)
            cp.add_bool_or(~first, last, divided)
            cp.add(part >= least).only_enforce_if(on, divided)
            self._fill(stint, day, [on, divided, rest_first, ~first], short[day])
            self._fill(stint, day, [on, divided, ~rest_first, ~last], short[day])
            cp.add(part == least).only_enforce_if(falls_short, divided, rest_first, first)
            cp.add(part == least).only_enforce_if(falls_short, divided, ~rest_first, last)

    def _fill(self, stint: _Stint, day: int, when: list[cp_model.LiteralT], short: Literal) -> None:
        """Give a whole day one stop and exactly the crew's minutes, or a little less."""
        key = stint.crew, day
        usual = self.problem.crew_by_id[stint.crew].minutes[day]
        most_short = self.problem.min_part_minutes - 1
        self.cp.add(sum(self.stop[key].values()) == 1).only_enforce_if(*when)
        self.cp.add(self.used[key] <= usual).only_enforce_if(*when)
        self.cp.add(self.used[key] >= usual - most_short * short).only_enforce_if(*when)

    def _limit_machines(self) -> None:
        for machine in self.problem.machines:
            for day, available in enumerate(machine.available):
                crews = [
                    self._any(on)
                    for (key, kind), on in self.takes.items()
                    if kind == machine.kind and key[1] == day
                ]
                self.cp.add(sum(crews) <= available)

    def _any(self, literals: list[Literal]) -> Literal:
        found = self.cp.new_bool_var("")
        self.cp.add_max_equality(found, literals)
        return found


def _windows(steps: Sequence[Step], fixed: Mapping[str, Assignment], days: int) -> list[LockWindow]:
    """Return when each step may start and end, by what is fixed before and after it."""
    first, firsts = 0, []
    for i, step in enumerate(steps):
        first += step.lag_days if i else 0
        first = max(first, fixed[step.id].day) if step.id in fixed else first
        firsts.append(first)
    found: list[LockWindow] = []
    end = days - 1
    for step, begin in zip(reversed(steps), reversed(firsts), strict=True):
        last = min(end, fixed[step.id].day) if step.id in fixed else end
        found.append(LockWindow(begin, last, end))
        end = last - step.lag_days
    return found[::-1]


def _start(stints: list[_Stint]) -> cp_model.LinearExprT:
    """Return the day on which a step starts."""
    return sum(day * at for stint in stints for day, at in stint.first.items())


def _end(stints: list[_Stint]) -> cp_model.LinearExprT:
    """Return the day on which a step ends."""
    return sum(day * at for stint in stints for day, at in stint.last.items())
