"""Services about a branch's rates: learned, pinned, unpinned, how the yard works.

Each estimates the branch's open jobs anew; what is posted or finished stands.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext

from contractor.events import Actor, event_record
from contractor.models import Branch, CrewPace, LearnedRate, PinnedRate
from jobs.desk.services import set_fields
from jobs.estimates.branch_rates import branch_rates, plain
from jobs.estimates.services.reprice import Repriced, branch_reprice
from jobs.rates.actual_ratios import records_of
from jobs.rates.finished import Factor, FinishedPace, Record, factors_of, paces_of
from jobs.rates.rate_words import RateWords, rate_words

YARD_FIELDS = frozenset(
    {
        "hose_ft",
        "lift_ft",
        "heat_on",
        "heat_outdoor_f",
        "code_edition",
        "climate_zone",
        "zone_is_marine",
    }
)


@dataclass(frozen=True)
class Learnt:
    """What learning came to: steps behind it, steps that fit no estimate, jobs priced anew."""

    steps: int
    left_out: int
    repriced: Repriced


@transaction.atomic
def rates_learn(*, branch: Branch, actor: Actor, now: datetime) -> Learnt:
    """Learn the branch's factors and its crews' paces from finished work, all of them anew.

    The newest finished steps count, each once, as it was last corrected.
    """
    branch = _held(branch)
    records, left_out = records_of(branch, branch_rates(branch, None))
    factors = factors_of(records)
    _factors_keep(branch, factors, now)
    paces = _paces_keep(branch, records, now)
    repriced = branch_reprice(branch, actor=actor, now=now)
    what = {
        "steps": len(records),
        "left_out": left_out,
        "factors": {
            f.kind: round(f.learned.factor, 3) for f in factors if not f.material + f.machine
        },
        "crews": paces,
        "repriced": repriced.as_json(),
    }
    event_record(actor=actor, now=now, verb="learned", thing=branch, branch=branch, what=what)
    return Learnt(len(records), left_out, repriced)


@transaction.atomic
def rate_pin(
    *, branch: Branch, path: str, value: Decimal, because: str, actor: Actor, now: datetime
) -> Repriced:
    """Set a rate of the branch by hand, with the reason; it holds until it is unpinned.

    path: one of `rate_words(branch)`. Raises ValidationError, by field, for a path that is none,
    a value out of range, or no reason.
    """
    branch = _held(branch)
    words = _words(branch, path)
    words.check(value)
    pin = branch.pinned_rates.filter(path=path).first() or PinnedRate(branch=branch, path=path)
    changes = set_fields(pin, {"value": value, "because": because.strip()})
    if not changes:
        return Repriced()
    pin.pinned_by, pin.pinned_at = actor.user, now
    pin.full_clean()
    pin.save()
    what = {"path": path, "title": str(words.title), **changes}
    event_record(actor=actor, now=now, verb="pinned", thing=pin, branch=branch, what=what)
    return branch_reprice(branch, actor=actor, now=now)


@transaction.atomic
def rate_unpin(*, branch: Branch, path: str, actor: Actor, now: datetime) -> Repriced:
    """Take a pin out, so that the rate is learned or the default again.

    Where there is no such pin nothing happens.
    """
    branch = _held(branch)
    pin = branch.pinned_rates.filter(path=path).first()
    if pin is None:
        return Repriced()
    what = {"path": path, "value": [plain(pin.value), None], "because": [pin.because, None]}
    event_record(actor=actor, now=now, verb="unpinned", thing=pin, branch=branch, what=what)
    pin.delete()
    return branch_reprice(branch, actor=actor, now=now)


@transaction.atomic
def yard_set(
    *, branch: Branch, values: Mapping[str, object], actor: Actor, now: datetime
) -> Repriced:
    """Set how the yard works: hose, lift, heat, code. values: fields of Branch (`YARD_FIELDS`).

    Raises ValidationError.
    """
    unknown = set(values) - YARD_FIELDS
    if unknown:
        raise TypeError(f"yard_set: {', '.join(sorted(unknown))} cannot be changed")
    branch = _held(branch)
    changes = set_fields(branch, values)
    if not changes:
        return Repriced()
    branch.full_clean()
    branch.save(update_fields=list(changes))
    event_record(actor=actor, now=now, verb="changed", thing=branch, branch=branch, what=changes)
    return branch_reprice(branch, actor=actor, now=now)


def _held(branch: Branch) -> Branch:
    """Return the branch, held against others that set its rates."""
    return Branch.objects.select_for_update(no_key=True).get(pk=branch.pk)


def _words(branch: Branch, path: str) -> RateWords:
    words = rate_words(branch).get(path)
    if words is None:
        raise ValidationError(
            {"path": gettext("%(path)s is no rate of this yard.") % {"path": path}}
        )
    return words


def _factors_keep(branch: Branch, factors: Iterable[Factor], now: datetime) -> None:
    LearnedRate.objects.filter(branch=branch).delete()
    LearnedRate.objects.bulk_create(
        LearnedRate(
            branch=branch,
            step_kind=factor.kind,
            material_key=factor.material,
            machine_name=factor.machine,
            minutes_factor=_five(factor.learned.factor),
            sigma=_five(factor.learned.sigma),
            bags_factor=_five(factor.bags_factor),
            jobs=factor.learned.jobs,
            drawn_in=factor.learned.drawn_in,
            learned_at=now,
        )
        for factor in factors
    )


def _paces_keep(branch: Branch, records: list[Record], now: datetime) -> dict[str, float]:
    """Keep the crews' paces; return them as the event tells them."""
    crews = {crew.pk: crew for crew in branch.crews.all()}
    paces = paces_of(records, {pk: float(crew.pace) for pk, crew in crews.items()})
    CrewPace.objects.filter(crew__branch=branch).delete()
    CrewPace.objects.bulk_create(_pace_row(pace, now) for pace in paces)
    return {f"{crews[p.crew_id].name}, {p.kind}": round(p.pace, 3) for p in paces}


def _pace_row(pace: FinishedPace, now: datetime) -> CrewPace:
    return CrewPace(
        crew_id=pace.crew_id,
        step_kind=pace.kind,
        pace=_five(pace.pace),
        jobs=pace.jobs,
        learned_at=now,
    )


def _five(value: float) -> Decimal:
    """Round to five decimals, as the rows keep them; never to nothing, however small."""
    return max(Decimal(repr(value)).quantize(Decimal("0.00001")), Decimal("0.00001"))
