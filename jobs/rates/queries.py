"""Reads for the page of rates: each rate as it holds, paces of crews, estimate against actual."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from statistics import median

from django.db.models import QuerySet

from contractor.access import Scope
from contractor.models import Branch, Crew, CrewPace, LearnedRate, PinnedRate
from jobs.estimates.branch_rates import plain
from jobs.models import Actual, Step
from jobs.rates.actual_ratios import active_actuals
from jobs.rates.rate_words import RateWords, rate_words

PINNED, TAUGHT, DEFAULT = "pinned", "learned", "default"
# Rates that alone make up a kind of step, so that its factor is theirs.
ALONE_IN = {
    "hand.baffle_minutes": "baffles",
    "hand.batt_minutes_per_ft2": "batt",
    "hand.net_minutes_per_ft2": "net",
    "hand.removal_minutes_per_ft2": "removal",
}


@dataclass(frozen=True)
class RateLine:
    """One rate as it holds: pinned, learned or the default, and what stands behind it.

    comes_to: where the factor of a step is this rate's own, the rate times the factor.
    """

    words: RateWords
    state: str
    value: Decimal
    pin: PinnedRate | None = None
    learned: LearnedRate | None = None
    narrower: tuple[LearnedRate, ...] = ()
    comes_to: Decimal | None = None

    @property
    def typed(self) -> str:
        """The value as somebody types it."""
        return plain(self.value)


@dataclass(frozen=True)
class CrewPaces:
    """A crew with its learned pace at each kind of step, None where it has none yet."""

    crew: Crew
    paces: tuple[CrewPace | None, ...]


@dataclass(frozen=True)
class RatesPage:
    """Everything that the page of rates shows of a branch beside the plot."""

    machines: tuple[RateLine, ...]
    work: tuple[RateLine, ...]
    steps: tuple[RateLine, ...]
    pace_kinds: tuple[str, ...]
    paces: tuple[CrewPaces, ...]
    learned_at: datetime | None
    fresh: int


@dataclass(frozen=True)
class RatioGroup:
    """Finished steps of one kind, crew or machine: how many, hours, and the middle ratio."""

    name: str
    jobs: int
    estimated_minutes: int
    minutes: int
    ratio: float


def branches_of(scope: Scope) -> QuerySet[Branch]:
    """Return the branches that the scope sees, by name."""
    branches = Branch.objects.order_by("name")
    return branches if scope.all_branches else branches.filter(pk__in=scope.branch_ids)


def rates_page(branch: Branch) -> RatesPage:
    """Return every rate of the branch as it holds; six statements."""
    words = rate_words(branch)
    pins = {pin.path: pin for pin in branch.pinned_rates.select_related("pinned_by")}
    learned = list(branch.learned_rates.order_by("step_kind", "material_key", "machine_name"))
    lines = [_line(one, pins.get(one.path), learned) for one in words.values()]
    there = {rate.step_kind for rate in learned}
    kinds = tuple(kind for kind in Step.Kind.values if kind in there)
    learned_at = max((rate.learned_at for rate in learned), default=None)
    return RatesPage(
        machines=tuple(line for line in lines if line.words.is_of_machine),
        work=tuple(line for line in lines if line.words.is_of_work),
        steps=tuple(line for line in lines if line.words.step_kind),
        pace_kinds=kinds,
        paces=_paces(branch, kinds),
        learned_at=learned_at,
        fresh=_fresh(branch, learned_at),
    )


def _paces(branch: Branch, kinds: Sequence[str]) -> tuple[CrewPaces, ...]:
    """Return the crews that have learned any pace, by name."""
    crews = branch.crews.filter(paces__isnull=False).distinct().prefetch_related("paces")
    found = []
    for crew in crews.order_by("name"):
        by_kind = {pace.step_kind: pace for pace in crew.paces.all()}
        found.append(CrewPaces(crew, tuple(by_kind.get(kind) for kind in kinds)))
    return tuple(found)


def _line(words: RateWords, pin: PinnedRate | None, learned: Sequence[LearnedRate]) -> RateLine:
    of_kind = [rate for rate in learned if rate.step_kind == words.step_kind]
    wide = next((rate for rate in of_kind if not rate.material_key + rate.machine_name), None)
    value = pin.value if pin else wide.minutes_factor if wide else words.default
    return RateLine(
        words=words,
        state=PINNED if pin else TAUGHT if wide else DEFAULT,
        value=value,
        pin=pin,
        learned=wide,
        narrower=tuple(rate for rate in of_kind if _says_more(rate, of_kind)),
        comes_to=_comes_to(words.path, value, learned),
    )


def _says_more(rate: LearnedRate, of_kind: Sequence[LearnedRate]) -> bool:
    """Tell whether a record has fewer jobs than each wider one, so says something of its own."""
    if not rate.material_key + rate.machine_name:
        return False
    wider = [
        other
        for other in of_kind
        if other is not rate
        and other.material_key in ("", rate.material_key)
        and other.machine_name in ("", rate.machine_name)
    ]
    return all(other.jobs > rate.jobs for other in wider)


def _comes_to(path: str, value: Decimal, learned: Iterable[LearnedRate]) -> Decimal | None:
    kind = ALONE_IN.get(path)
    wide = (r for r in learned if r.step_kind == kind and not r.material_key + r.machine_name)
    return next((value * rate.minutes_factor for rate in wide), None)


def _fresh(branch: Branch, learned_at: datetime | None) -> int:
    """Tell how many finished steps were entered or corrected since the rates were learned."""
    actuals = Actual.objects.active().of_branch(branch)
    return (actuals.filter(entered_at__gt=learned_at) if learned_at else actuals).count()


def actuals_found(
    branch: Branch, *, step_kind: str = "", crew: int | None = None, machine: int | None = None
) -> list[Actual]:
    """Return what holds of the branch's finished steps, newest first, by kind, crew or machine."""
    actuals = active_actuals(branch).prefetch_related(None)
    if step_kind:
        actuals = actuals.filter(step__kind=step_kind)
    if crew:
        actuals = actuals.filter(crew=crew)
    return list(actuals.filter(machine=machine) if machine else actuals)


def ratio_of(actual: Actual) -> float:
    """Return what the step took over what the estimate had said."""
    return actual.minutes / actual.estimated_minutes


def groups_of(actuals: Sequence[Actual]) -> dict[str, list[RatioGroup]]:
    """Return the finished steps by `step`, by `crew` and by `machine` (those that had one)."""
    return {
        "step": _grouped(actuals, [actual.step.kind for actual in actuals]),
        "crew": _grouped(actuals, [actual.crew.name for actual in actuals]),
        "machine": _grouped(
            actuals, [actual.machine.name if actual.machine else "" for actual in actuals]
        ),
    }


def _grouped(actuals: Sequence[Actual], names: Sequence[str]) -> list[RatioGroup]:
    found: dict[str, list[Actual]] = {}
    for actual, name in zip(actuals, names, strict=True):
        if name:
            found.setdefault(name, []).append(actual)
    return [_group(name, found[name]) for name in sorted(found)]


def _group(name: str, actuals: Sequence[Actual]) -> RatioGroup:
    return RatioGroup(
        name=name,
        jobs=len(actuals),
        estimated_minutes=sum(actual.estimated_minutes for actual in actuals),
        minutes=sum(actual.minutes for actual in actuals),
        ratio=median(ratio_of(actual) for actual in actuals),
    )


def step_history(step: Step) -> list[Actual]:
    """Return everything that was entered of a step, the entry that holds first."""
    return list(step.actuals.select_related("crew", "machine").order_by("-pk"))


def job_actuals(steps: Iterable[Step]) -> dict[int, Actual]:
    """Return what holds of each of some steps that is finished, by the step's id; one statement."""
    actuals = Actual.objects.filter(step__in=list(steps)).select_related("crew", "machine")
    newest = {actual.step_id: actual for actual in actuals.order_by("pk")}
    return {step: actual for step, actual in newest.items() if not actual.withdrawn}
