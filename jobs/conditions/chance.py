"""How likely conditions are true by a morning, from records; must not know rows or the clock."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from itertools import accumulate
from math import prod

from contractor.workdays import WorkCalendar
from jobs.conditions import states
from jobs.conditions.calibration import IDENTITY, Calibration
from jobs.conditions.readiness import JobCondition
from jobs.conditions.record import LATER, MOST_SLIP_DAYS, History, slip

BUILDER = "builder"
NEVER = 0.0
SURE = 1.0

# All figures of the priors are our choice, for want of a published source: of promises four in
# five are kept and few are later than two weeks; a ready date, which nobody confirmed, is worse.
PROMISE_KEPT, PROMISE_LATER, PROMISE_DAY_ON_DAY = 0.80, 0.02, 0.6
READY_KEPT, READY_LATER, READY_DAY_ON_DAY = 0.60, 0.05, 0.7
REPORT_TRUE = 0.90
# How many outcomes the prior weighs against the company, and the company against a builder.
PRIOR_STRENGTH = 10.0
COMPANY_STRENGTH = 8.0
# Owed without any date: once the catalogue's lead time is over, one in four.
UNDATED = 0.25


def _prior(kept: float, later: float, day_on_day: float) -> tuple[float, ...]:
    """Return shares of slips of 0, 1, ... working days: late ones thin out from day to day."""
    weights = [day_on_day**days for days in range(MOST_SLIP_DAYS)]
    late = [(1 - kept - later) * weight / sum(weights) for weight in weights]
    return (kept, *late, later)


PROMISE_PRIOR = _prior(PROMISE_KEPT, PROMISE_LATER, PROMISE_DAY_ON_DAY)
READY_PRIOR = _prior(READY_KEPT, READY_LATER, READY_DAY_ON_DAY)


@dataclass(frozen=True)
class Odds:
    """What one builder's words are worth.

    promise, ready_date: the shares of slips of 0, 1, ... MOST_SLIP_DAYS working days, and later.
    report: the share of reports that are true.
    """

    promise: tuple[float, ...] = PROMISE_PRIOR
    ready_date: tuple[float, ...] = READY_PRIOR
    report: float = REPORT_TRUE

    @cached_property
    def promise_by(self) -> tuple[float, ...]:
        """The chance that a promise has come true so many working days after its date."""
        return _by(self.promise)

    @cached_property
    def ready_by(self) -> tuple[float, ...]:
        """The same of a ready date."""
        return _by(self.ready_date)


def odds_of(builder: History, company: History) -> Odds:
    """Return a builder's odds: its history drawn to the company's, and that to the stated prior."""
    return Odds(
        promise=_slip_shares(PROMISE_PRIOR, company.promises, builder.promises),
        ready_date=_slip_shares(READY_PRIOR, company.ready_dates, builder.ready_dates),
        report=beta_mean(
            beta_mean(REPORT_TRUE, PRIOR_STRENGTH, company.reports_true, company.reports_false),
            COMPANY_STRENGTH,
            builder.reports_true,
            builder.reports_false,
        ),
    )


def beta_mean(mean: float, strength: float, yes: int, no: int) -> float:
    """Return the posterior mean of a share under a Beta prior of this mean and strength."""
    return (mean * strength + yes) / (strength + yes + no)


def dirichlet_mean(
    means: Sequence[float], strength: float, counts: Sequence[int]
) -> tuple[float, ...]:
    """Return the posterior means of shares under a Dirichlet prior of these means and strength."""
    whole = strength + sum(counts)
    return tuple(
        (mean * strength + count) / whole for mean, count in zip(means, counts, strict=True)
    )


def _slip_shares(
    prior: tuple[float, ...], company: Counter[int], builder: Counter[int]
) -> tuple[float, ...]:
    drawn = dirichlet_mean(prior, PRIOR_STRENGTH, _binned(company))
    return dirichlet_mean(drawn, COMPANY_STRENGTH, _binned(builder))


def _binned(slips: Counter[int]) -> list[int]:
    counts = [slips[days] for days in range(LATER)]
    return [*counts, slips.total() - sum(counts)]


def _by(shares: tuple[float, ...]) -> tuple[float, ...]:
    """Return cumulative shares but the last: who is later than all that comes on no known day."""
    return tuple(min(SURE, total) for total in accumulate(shares[:LATER]))


Chance = tuple[float, ...]


@dataclass(frozen=True)
class Forecast:
    """Chances by the mornings of some days, at the houses of one builder.

    today: the day from which lead times count. Chances are reckoned once for all conditions alike.
    """

    days: tuple[date, ...]
    today: date
    work: WorkCalendar = field(default_factory=WorkCalendar)
    odds: Odds = field(default_factory=Odds)
    calibration: Calibration = IDENTITY
    _known: dict[object, Chance] = field(default_factory=dict, repr=False, compare=False)

    def step(
        self, step_kind: str, conditions: Iterable[JobCondition], ready_date: date | None
    ) -> Chance:
        """Return for each day the chance that all that the step waits for is true by the morning.

        What one party owes counts once, by the least likely; the product is over parties. The
        ready date is one word, of the builder, whoever owes what hangs on it.
        """
        by_party: dict[str, set[Chance]] = {}
        for condition in conditions:
            if step_kind in condition.holds and condition.is_awaited:
                party, chance = self._of(condition, ready_date)
                by_party.setdefault(party, set()).add(chance)
        key = frozenset((frozenset(chances), party) for party, chances in by_party.items())
        if key not in self._known:
            self._known[key] = self._joint(by_party.values())
        return self._known[key]

    def condition(self, condition: JobCondition, ready_date: date | None) -> Chance:
        """Return for each day the chance that this one condition is true by the morning."""
        return self._of(condition, ready_date)[1]

    def _joint(self, parties: Iterable[Iterable[Chance]]) -> Chance:
        least = [[min(day) for day in zip(*chances, strict=True)] for chances in parties]
        raw = (prod(day) for day in zip(*least, strict=True)) if least else (SURE,) * len(self.days)
        return tuple(self.calibration.at(chance) for chance in raw)

    def _of(self, condition: JobCondition, ready_date: date | None) -> tuple[str, Chance]:
        """Return whose word it hangs on, and the chances by day."""
        party, state = condition.owed_by, condition.state
        if condition.is_settled:
            reported = state == states.REPORTED_DONE
            return party, self._flat(self.odds.report if reported else SURE)
        if state == states.PROMISED and condition.promised:
            return party, self._dated(condition.promised, self.odds.promise_by)
        if state != states.OWED:
            # A stop that somebody tried to get round.
            return party, self._flat(NEVER)
        if ready_date:
            return BUILDER, self._dated(ready_date, self.odds.ready_by)
        return party, self._undated(condition.lead_days)

    def _flat(self, chance: float) -> Chance:
        return (chance,) * len(self.days)

    def _dated(self, said: date, by: tuple[float, ...]) -> Chance:
        key = (said, by)
        if key not in self._known:
            self._known[key] = tuple(self._by_day(said, day, by) for day in self.days)
        return self._known[key]

    def _by_day(self, said: date, day: date, by: tuple[float, ...]) -> float:
        if day < said:
            return NEVER
        return by[min(slip(said, day, self.work), MOST_SLIP_DAYS)]

    def _undated(self, lead_days: int) -> Chance:
        key = ("lead", lead_days)
        if key not in self._known:
            first = self.work.plus(self.today, lead_days)
            self._known[key] = tuple(UNDATED if day >= first else NEVER for day in self.days)
        return self._known[key]
