"""Keeps whether crews could start at a house on a day, by the last word of all said there."""

from datetime import date, datetime

from jobs.catalogue.rows import job_condition
from jobs.conditions.readiness import JobCondition
from jobs.conditions.taken_over import WORKS
from jobs.conditions.words import HOLDING_GATES, US
from jobs.estimates.outcome import ORDER
from jobs.models import Condition
from jobs.record.services.finding import finding_say
from scheduling.facts.services.conditions import Drawn
from scheduling.facts.services.house import HouseFacts, speaker, visit_fact
from scheduling.models import Fact
from scheduling.progress.day import FINISHED, STARTED, TURNED_AWAY
from scheduling.progress.visits import Found, found

VISITS = (STARTED, FINISHED, TURNED_AWAY)


def findings_follow(fact: Fact, house: HouseFacts, drawn: list[Drawn], *, now: datetime) -> None:
    """Keep what the day of a fact found at its house, where that is news."""
    day = _day(fact, house)
    told = [
        visit_fact(one) for one in house.facts if one.kind in VISITS and _day(one, house) == day
    ]
    last = found(told)
    if last is None:
        return
    by = house.by_id[last.by.id]
    kinds = _kinds(last, by, house)
    by_hand = house.job.findings.filter(day=day, said=False).order_by("pk").last()
    if not kinds or (by_hand is not None and by_hand.recorded_at >= last.at):
        return
    finding_say(
        job=house.job,
        day=day,
        step_kinds=kinds,
        could_start=last.could_start,
        missing=[] if last.could_start else _missing(by, house),
        note="" if last.could_start else str(by.what.get("why", "")),
        before=_before(kinds, day, house, drawn),
        actor=speaker(by),
        now=now,
    )


def _day(fact: Fact, house: HouseFacts) -> date:
    """Return the day of the visit: a page of a day to come may be open, but nobody is there yet."""
    return min(fact.day, house.day_of(fact.happened_at))


def _kinds(last: Found, by: Fact, house: HouseFacts) -> list[str]:
    """Return the steps that could start, or those the crew had come for and were still to do."""
    wanted = set(last.steps)
    if not last.could_start:
        came_for = set(house.planned.get((by.crew_id, by.day), ()))
        # What we take over comes and goes with what is said; what the house takes stays.
        own = {kind for kind, step in house.steps.items() if step.needed} - WORKS.keys()
        wanted = came_for - wanted or came_for or own
    return sorted(wanted, key=ORDER.index)


def _missing(by: Fact, house: HouseFacts) -> list[str]:
    named = set(by.what.get("missing") or ())
    return sorted(row.code for row in house.conditions if row.pk in named)


def _before(
    kinds: list[str], day: date, house: HouseFacts, drawn: list[Drawn]
) -> list[JobCondition]:
    """Return what the steps waited for, as it stood before anybody said anything of it that day."""
    of_row = {one.row.pk: one for one in drawn}
    return [
        _as_it_was(row, of_row.get(row.pk), day)
        for row in house.conditions
        if row.needed and row.gate in HOLDING_GATES and row.owed_by != US
        if set(row.holds) & set(kinds)
    ]


def _as_it_was(row: Condition, one: Drawn | None, day: date) -> JobCondition:
    then = Condition(
        code=row.code,
        name=row.name,
        owed_by=row.owed_by,
        gate=row.gate,
        state=row.state,
        holds=row.holds,
        promised_for=row.promised_for,
        entry=row.entry,
    )
    if one is not None:
        then.state = one.claimed.before(day) or one.base.state
        then.promised_for = one.base.promised_for
        if then.state == Condition.State.PROMISED and then.promised_for is None:
            then.state = Condition.State.OWED
    return job_condition(then)
