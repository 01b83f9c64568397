"""Every rate that a branch may set: its name, unit, limits, default and source; reads machines."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from contractor.models import Branch, Machine
from jobs.conditions.words import STEP_NAMES
from jobs.estimates.branch_rates import FILLS, PATHS, learned_path, machine_path
from jobs.estimating.defaults import RATES, SPANS
from jobs.models import Step
from jobs.wording import number, word

_TITLES = {
    "machine.feed_bags_per_hour": _("Bags opened and dropped into the machine"),
    "hose_hand.spread_ft2_per_hour": _("Flat that a hose hand spreads"),
    "hose_hand.minutes_per_bay": _("Handling the hose, each rafter bay"),
    "hose_hand.minutes_per_cavity": _("Handling the hose, each wall cavity"),
    "hand.marker_minutes": _("A depth marker"),
    "hand.hatch_minutes": _("A hatch: dam and lid"),
    "hand.dam_minutes_per_ft": _("A dam, each foot"),
    "hand.masking_minutes_per_ft2": _("Masking, each square foot"),
    "hand.baffle_minutes": _("A baffle"),
    "hand.batt_minutes_per_ft2": _("Batts, each square foot"),
    "hand.net_minutes_per_ft2": _("Net, each square foot"),
    "hand.removal_minutes_per_ft2": _("Taking old insulation out, each square foot"),
    "hand.loss_per_person": _("What each person beyond two loses on hand work"),
    "visit.setup_person_minutes": _("Set-up and clean-up of a visit"),
}
# What the estimator takes: more than the lowest, or from it on where it is zero, to the highest.
_HIGHEST = {
    "machine.feed_bags_per_hour": "1000",
    "hose_hand.spread_ft2_per_hour": "100000",
    "hose_hand.minutes_per_bay": "1000",
    "hose_hand.minutes_per_cavity": "1000",
    "hand.loss_per_person": "0.5",
}
_ABOVE_ZERO = frozenset({"machine.feed_bags_per_hour", "hose_hand.spread_ft2_per_hour"})
_MOST_MINUTES = "10000"
_MOST_LB_PER_HOUR = "20000"
_FACTORS = (Decimal("0.1"), Decimal(10))
_PLACES = Decimal("0.0001")
_FILL_TITLES = {"open": _("%(machine)s, open blow"), "dense": _("%(machine)s, dense fill")}


@dataclass(frozen=True)
class RateWords:
    """One rate as the page of rates names it. `low` itself is allowed where `low_is_in`.

    step_kind: of which kind of step it is the learned factor, empty for every other rate.
    """

    path: str
    title: str
    unit: str
    default: Decimal
    source: str
    low: Decimal
    high: Decimal
    low_is_in: bool = True
    is_of_machine: bool = False
    step_kind: str = ""

    @property
    def is_of_work(self) -> bool:
        """Whether it is a rate of hose hands, hand work or a visit."""
        return not self.is_of_machine and not self.step_kind

    def check(self, value: Decimal) -> None:
        """Raise ValidationError, at `value`, for what the estimator would refuse."""
        if value.is_nan() or not self._is_in(value):
            raise ValidationError({"value": self._expected()})
        if value != value.quantize(_PLACES):
            words = gettext("%(title)s: expected at most four decimals.")
            raise ValidationError({"value": words % {"title": self.title}})

    def _is_in(self, value: Decimal) -> bool:
        above = value >= self.low if self.low_is_in else value > self.low
        return above and value <= self.high

    def _expected(self) -> str:
        words = (
            gettext("%(title)s: expected at least %(low)s and at most %(high)s %(unit)s.")
            if self.low_is_in
            else gettext("%(title)s: expected more than %(low)s and at most %(high)s %(unit)s.")
        )
        return words % {
            "title": self.title,
            "low": number(self.low),
            "high": number(self.high),
            "unit": self.unit,
        }


def rate_words(branch: Branch) -> dict[str, RateWords]:
    """Return each rate of the branch by its path: machines, hose hand, hand work, visits, steps."""
    machines = branch.machines.filter(active=True)
    found = [_machine(machine, fill) for machine in machines for fill in FILLS]
    found += [_rate(path) for path in PATHS]
    found += [_step(kind) for kind in Step.Kind.values if kind in SPANS]
    return {words.path: words for words in found}


def _machine(machine: Machine, fill: str) -> RateWords:
    stated: Mapping[str, int] = {
        "open": machine.open_lb_per_hour,
        "dense": machine.dense_lb_per_hour,
    }
    return RateWords(
        path=machine_path(machine, fill),
        title=_FILL_TITLES[fill] % {"machine": machine.name},
        unit="lb/h",
        default=Decimal(stated[fill]),
        source=gettext("as the machine was entered"),
        low=Decimal(0),
        high=Decimal(_MOST_LB_PER_HOUR),
        low_is_in=False,
        is_of_machine=True,
    )


def _rate(path: str) -> RateWords:
    default = RATES[path]
    return RateWords(
        path=path,
        title=str(_TITLES[path]),
        unit=default.unit.replace("ft2", "ft²"),
        default=Decimal(default.value),
        source=default.source,
        low=Decimal(0),
        high=Decimal(_HIGHEST.get(path, _MOST_MINUTES)),
        low_is_in=path not in _ABOVE_ZERO,
    )


def _step(kind: str) -> RateWords:
    span = SPANS[kind][2].replace("ft2", "ft²")
    return RateWords(
        path=learned_path(kind),
        title=word(STEP_NAMES[kind]),
        unit=gettext("times the estimate"),
        default=Decimal(1),
        source=gettext("prior from the span of %(span)s") % {"span": span},
        low=_FACTORS[0],
        high=_FACTORS[1],
        step_kind=kind,
    )
