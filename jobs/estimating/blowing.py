"""Pace of a blow: the slowest of machine, feeder and hose hand; knows no space."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from jobs.estimating import defaults
from jobs.estimating.exact import spoken
from jobs.estimating.materials import Material
from jobs.estimating.reading import Default, Node, Rate, limits

LEAST_ON_A_BLOW = 2
_LEAST_SHARE = Fraction(1, 5)
_RATE = limits(0, 20_000)
_SHARE = limits(0, 1)


@dataclass(frozen=True, slots=True)
class Machine:
    """A blowing machine with its feeder and hose hand, at the hose and lift of the visit."""

    lb_per_hour: Mapping[str, Rate]
    given: bool
    feed_bags_per_hour: Rate
    spread_ft2_per_hour: Rate
    minutes_per_bay: Rate
    minutes_per_cavity: Rate
    hose_share: Fraction

    def rate(self, fill: str, material: Material) -> Rate:
        """Return the pounds an hour for an open or a dense fill, before hose and lift.

        The material's own rate where the takeoff gives one, else the machine's, else the
        material's default, else the machine's default.
        """
        of_material = material.lb_per_hour.get(fill)
        if of_material and (not of_material.default or not self.given):
            return of_material
        return self.lb_per_hour[fill]


@dataclass(frozen=True, slots=True)
class Pace:
    """Who sets the pace, at how many pounds an hour, and the pace of each of the others."""

    name: str
    lb_per_hour: Fraction
    of_each: Mapping[str, Fraction]
    rates: Mapping[str, Rate]
    hose_share: Fraction

    def minutes(self, pounds: Fraction) -> Fraction:
        """Return blow minutes = pounds / rate."""
        return pounds * 60 / self.lb_per_hour

    def reasons(self, bag_lb: Fraction) -> list[str]:
        """Tell who sets the pace and why, in sentences."""
        each = ", ".join(f"{who.replace('_', ' ')} {spoken(v)}" for who, v in self.of_each.items())
        lines = [
            f"Paced by the {self.name.replace('_', ' ')} at {spoken(self.lb_per_hour)} lb/h"
            f" ({spoken(self.lb_per_hour / bag_lb, 1)} bags/h), the least in lb/h of {each}."
        ]
        if self.hose_share < 1:
            lines.append(
                f"Hose and lift leave {spoken(self.hose_share * 100)} % of the machine's rate."
            )
        rates = self.rates.values()
        return lines + [f"Rate: {rate.spoken()}." for rate in rates if rate.default or rate.jobs]


def read_machine(machine: Node, hose_hand: Node) -> Machine:
    """Read machine, feeder and hose hand; what is left out is a default that says so."""
    rates = machine.child("lb_per_hour")
    zero = limits(0, 1000, zero=True)
    return Machine(
        lb_per_hour=_open_and_dense(machine, rates),
        given=rates.has("open") or rates.has("dense"),
        feed_bags_per_hour=machine.rate(
            "feed_bags_per_hour", defaults.FEED_BAGS_PER_HOUR, limits(0, 1000)
        ),
        spread_ft2_per_hour=hose_hand.rate(
            "spread_ft2_per_hour", defaults.SPREAD_FT2_PER_HOUR, limits(0, 100_000)
        ),
        minutes_per_bay=hose_hand.rate("minutes_per_bay", defaults.MINUTES_PER_BAY, zero),
        minutes_per_cavity=hose_hand.rate("minutes_per_cavity", defaults.MINUTES_PER_CAVITY, zero),
        hose_share=_hose_share(machine),
    )


def _open_and_dense(machine: Node, rates: Node) -> dict[str, Rate]:
    share = machine.rate("dense_share", defaults.DENSE_SHARE, _SHARE)
    opened = rates.rate("open", defaults.OPEN_LB_PER_HOUR, _RATE)
    dense = rates.rate("dense", defaults.OPEN_LB_PER_HOUR, _RATE)
    if not rates.has("dense"):
        dense = _by_share(opened, opened.value * share.value, share, rates.at("dense"))
    elif not rates.has("open"):
        opened = _by_share(dense, dense.value / share.value, share, rates.at("open"))
    return {"open": opened, "dense": dense}


def _by_share(other: Rate, value: Fraction, share: Rate, path: str) -> Rate:
    source = f"{float(share.value):g} of the open rate, {share.source}; other rate: {other.source}"
    return Rate(value, "lb/h", source, default=True, path=path)


def _hose_share(machine: Node) -> Fraction:
    """Return the share of the rate left beyond rated hose and lift: linear, never under a fifth.

    1 - loss x (hose - rated hose) - loss x (lift - rated lift), each counted only beyond its
    rating. Vendors rate at 100 ft of hose and 12 ft of lift; the losses are from memory.
    """
    hose = _lost(machine, "hose", defaults.RATED_HOSE_FT, defaults.HOSE_LOSS)
    lift = _lost(machine, "lift", defaults.RATED_LIFT_FT, defaults.LIFT_LOSS)
    return max(1 - hose - lift, _LEAST_SHARE)


def _lost(machine: Node, what: str, rated_default: Default, loss_default: Default) -> Fraction:
    beyond = limits(0, 10_000, zero=True)
    length = machine.maybe(f"{what}_ft", "ft", beyond)
    rated = machine.rate(f"rated_{what}_ft", rated_default, beyond)
    loss = machine.rate(f"{what}_loss_per_ft", loss_default, limits(0, 1, zero=True))
    return Fraction(0) if length is None else loss.value * max(Fraction(0), length - rated.value)


def slope_pace(machine: Machine, material: Material, fill: str) -> Pace:
    """Return the pace into closed cavities: the slower of machine and feeder, handling apart."""
    rate = machine.rate(fill, material)
    of_each = {
        "machine": rate.value * machine.hose_share,
        "feeder": machine.feed_bags_per_hour.value * material.bag(),
    }
    rates = {"machine": rate, "feeder": machine.feed_bags_per_hour}
    return _slowest(of_each, rates, machine.hose_share)


def flat_pace(machine: Machine, material: Material, lb_per_ft2: Fraction) -> Pace:
    """Return the pace on a flat: the slowest of machine, feeder and what a hose hand can spread."""
    closed = slope_pace(machine, material, "open")
    spread = machine.spread_ft2_per_hour
    of_each = {**closed.of_each, "hose_hand": spread.value * lb_per_ft2}
    return _slowest(of_each, {**closed.rates, "hose_hand": spread}, machine.hose_share)


def _slowest(of_each: Mapping[str, Fraction], rates: Mapping[str, Rate], share: Fraction) -> Pace:
    name = min(of_each, key=lambda who: of_each[who])
    return Pace(name, of_each[name], of_each, rates, share)
