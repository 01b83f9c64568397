"""Moves conditions to where the facts of a house put them, whatever order the facts came in."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import QuerySet

from contractor.events import Actor
from jobs.charges.services import charge_drop, charge_strike, condition_take_over, taken_steps
from jobs.conditions.states import OWED, SEEN_DONE, TAKEN_OVER, Grounds, MoveRefused
from jobs.models import BackCharge, Condition
from jobs.record.services.shift import condition_hear, condition_shift
from scheduling.facts.services.actuals import NO_STEP, has_step
from scheduling.facts.services.base import Base, base_of, days_of, kept_of
from scheduling.facts.services.claims import GONE, claim_refused, house_claims
from scheduling.facts.services.house import HouseFacts, speaker
from scheduling.facts.services.taken import agreed_read
from scheduling.models import Fact
from scheduling.progress.claims import Claim, ClaimedState, Effect, claimed_state, claims_after
from scheduling.progress.day import CHECKED, FINISHED

SAID_ANEW = "said anew"
# What is said of a condition in so many words is answered; what only follows from work is not.
ANSWERED = (Effect.TRUE, Effect.NOT_TRUE, Effect.WE_DID_IT)


@dataclass
class Drawn:
    """A condition with what the facts make of it; `refused`: by fact, why it may not."""

    house: HouseFacts
    row: Condition
    base: Base
    claims: list[Claim]
    refused: dict[str, str] = field(default_factory=dict)

    @property
    def claimed(self) -> ClaimedState:
        """Where the facts put it, those that are refused left out."""
        known = [claim for claim in self.claims if claim.fact not in self.refused]
        return claimed_state(self.base.state, known, self.house.day_of)

    @property
    def left_out(self) -> dict[str, str]:
        """By fact that speaks of it in so many words: why it changed nothing, or ''."""
        why = {**self.claimed.left_out, **self.refused}
        return {c.fact: why.get(c.fact, "") for c in self.claims if c.effect in ANSWERED}


def drawn_of(house: HouseFacts) -> list[Drawn]:
    """Return every condition of the house of which the facts say anything, by id."""
    claims = house_claims(house)
    return [_drawn(house, row, claims[row.pk]) for row in house.conditions if row.pk in claims]


def charges_settle(drawn: Iterable[Drawn], *, now: datetime) -> bool:
    """Make the standing charges those that the facts ask for; return whether any changed.

    A condition that is taken over stands there until `states_settle`, so that what our work on it
    took can be entered for its step.
    """
    changed = [_charges(one, now) for one in drawn]
    return any(changed)


def states_settle(drawn: Iterable[Drawn], *, now: datetime) -> None:
    """Move each condition to where the facts put it, by the hand of who said so."""
    for one in drawn:
        while not _state(one, now):
            continue


def left_out_keep(drawn: Iterable[Drawn], fact: Fact, house: HouseFacts) -> str:
    """Keep why facts changed nothing, as it is by now, and return it of the one at hand."""
    known = {fact_id: why for one in drawn for fact_id, why in one.left_out.items()}
    known |= {str(one.pk): _of_step(one, house) for one in house.facts if one.kind == FINISHED}
    for other in house.facts:
        why = known.get(str(other.pk), other.left_out)[:300]
        if other.pk != fact.pk and other.left_out != why:
            # Drawn from the set of facts like the states: what was said stays as it was.
            QuerySet(Fact).filter(pk=other.pk).update(left_out=why)
    return known.get(str(fact.pk), "") or _of_itself(fact, drawn)


def _of_step(fact: Fact, house: HouseFacts) -> str:
    """Say that there is no such step to enter figures for; what was said otherwise stays."""
    if not has_step(house, fact.step_kind):
        return NO_STEP
    return "" if fact.left_out == NO_STEP else fact.left_out


def _drawn(house: HouseFacts, row: Condition, claims: list[Claim]) -> Drawn:
    base = base_of(row)
    one = Drawn(house, row, base, claims_after(claims, base.moved_at))
    for claim in one.claims:
        why = claim_refused(claim, row, house)
        if why:
            one.refused[claim.fact] = why
    return one


def _of_itself(fact: Fact, drawn: Iterable[Drawn]) -> str:
    """Tell why a check says nothing that the facts could weigh: it is gone, or was moved later."""
    if fact.kind != CHECKED:
        return ""
    one = next((one for one in drawn if one.row.pk == fact.condition_id), None)
    if one is None:
        return GONE
    moved_at = one.base.moved_at
    if moved_at is None or fact.happened_at >= moved_at:
        return ""
    return _moved_later(one, moved_at)


def _moved_later(one: Drawn, moved_at: datetime) -> str:
    local = moved_at.astimezone(ZoneInfo(one.house.job.site.branch.time_zone))
    at = f"{local:%H:%M}".lstrip("0")
    return f"{one.base.moved_by} changed it at {at} on {local:%Y-%m-%d}, after this was tapped."


def _charges(one: Drawn, now: datetime) -> bool:
    """Take over what facts say we did, as often as one of them is refused for what it says."""
    before = dict(one.base.charges)
    while True:
        wanted = one.claimed.charges
        missing = [fact for fact in wanted if fact not in before]
        gone = [fact for fact in before if fact not in wanted]
        if not missing and not gone:
            return before != one.base.charges
        refused = _charges_change(one, gone, missing, now)
        if refused is None:
            return True
        one.refused.update(refused)


def _charges_change(
    one: Drawn, gone: list[str], missing: list[str], now: datetime
) -> dict[str, str] | None:
    """Strike and write charges, all or none; the fact that is refused and why, or None."""
    charges = {fact: pk for fact, pk in one.base.charges.items() if fact not in gone}
    fact_id = ""
    try:
        with transaction.atomic():
            _strike(one, gone, now)
            for fact_id in missing:
                charges[fact_id] = _take_over(one, fact_id, charges, now)
    except (MoveRefused, ValidationError) as refused:
        if not fact_id:
            raise
        one.row.refresh_from_db()
        return {fact_id: _words(refused)}
    one.base = replace(one.base, charges=charges)
    return None


def _strike(one: Drawn, gone: list[str], now: datetime) -> None:
    """Strike charges of facts that others overtook; the row still says that it is taken over."""
    by = one.claimed.by
    actor = speaker(one.house.by_id[by.fact]) if by else Actor.of_command("facts")
    pks = [one.base.charges[fact] for fact in gone]
    for charge in BackCharge.objects.filter(pk__in=pks, struck_at=None).select_related("condition"):
        reason = (by.reason if by else "") or SAID_ANEW
        charge_drop(charge, one.house.job, reason=reason, actor=actor, now=now)


def _take_over(one: Drawn, fact_id: str, charges: dict[str, int], now: datetime) -> int:
    """Take over what one fact says that we did; the charge's id."""
    fact, row = one.house.by_id[fact_id], one.row
    actor, agreed = speaker(fact), agreed_read(fact.what, row)
    if row.state in (SEEN_DONE, Condition.State.WAIVED, TAKEN_OVER):
        kept = kept_of(row, one.base, one.claimed, charges)
        condition_shift(row, OWED, Grounds(reason=SAID_ANEW), actor=actor, now=now, report=kept)
    kept = replace(kept_of(row, one.base, one.claimed, charges), at=fact.happened_at)
    kept.kept["fact"] = fact_id
    charge = condition_take_over(
        condition_id=row.pk,
        version=row.version,
        taken=agreed.taken,
        agreed_by=agreed.agreed_by,
        note=agreed.note,
        inspect_again=agreed.inspect_again,
        actor=actor,
        now=now,
        report=kept,
    )
    row.refresh_from_db()
    return charge.pk


def _state(one: Drawn, now: datetime) -> bool:
    """Move the row to where it belongs; False where that was refused, and another try is due."""
    target, row = one.claimed, one.row
    by = target.by
    actor = speaker(one.house.by_id[by.fact]) if by else Actor.of_command("facts")
    kept = kept_of(row, one.base, target, one.base.charges)
    if _stands(one, target):
        _hear(one, target, now=now)
        return True
    was_ours = row.state == TAKEN_OVER
    try:
        with transaction.atomic():
            if was_ours and by and one.base.state == TAKEN_OVER and target.state == OWED:
                charge_strike(row, reason=by.reason, actor=actor, now=now)
            grounds = Grounds(reason=by.reason, document=by.document) if by else one.base.grounds
            if by is None:
                actor = replace(actor, who=one.base.moved_by)
            condition_shift(row, target.state, grounds, actor=actor, now=now, report=kept)
    except (MoveRefused, ValidationError) as refused:
        row.refresh_from_db()
        one.refused[by.fact if by else ""] = _words(refused)
        return by is None
    if was_ours:
        taken_steps(one.house.job)
    return True


def _stands(one: Drawn, target: ClaimedState) -> bool:
    """Tell whether the row says already what it should, and by whom and when."""
    row, by = one.row, target.by
    if row.state != target.state:
        return False
    if target.state == TAKEN_OVER:
        return True
    if by is None:
        return row.moved_at == one.base.moved_at
    said = (by.reason, by.document, by.at, one.house.by_id[by.fact].who[:120])
    return (row.reason, row.document, row.moved_at, row.moved_by) == said


def _hear(one: Drawn, target: ClaimedState, *, now: datetime) -> None:
    """Keep days that were heard of late, where the row itself stays."""
    row = one.row
    if days_of(target) == one.base.days:
        return
    kept = kept_of(row, one.base, target, one.base.charges)
    kept.kept["version"] = row.version
    by = target.by
    actor = speaker(one.house.by_id[by.fact]) if by else Actor.of_command("facts")
    condition_hear(row, kept, actor=actor, now=now)


def _words(refused: MoveRefused | ValidationError) -> str:
    return str(refused) if isinstance(refused, MoveRefused) else "; ".join(refused.messages)
