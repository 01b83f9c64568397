"""How a move of a condition is written: compare-and-set, lags, event, outcomes; asks no rights."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from contractor.events import Actor, event_record
from jobs.conditions.states import Grounds
from jobs.desk.services import Stale
from jobs.estimates.services.steps import SETTLED, steps_relag
from jobs.models import Condition
from jobs.record.services.outcomes import outcomes_replace


@dataclass(frozen=True)
class CrewReport:
    """That a move is drawn from what crews said: when it happened, and what its event keeps.

    at: None where the condition goes back to where nobody had moved it yet.

    kept: `days`, each with the state before and after it, tells outcomes what of a run of such
    moves is to be judged; whoever draws the moves keeps there what to draw the next one from.
    """

    at: datetime | None
    kept: dict[str, Any] = field(default_factory=dict)


def condition_at(condition_id: int, version: int) -> Condition:
    """Return the condition with its job; raise Stale unless at the version that the caller saw."""
    condition = _with_branch(condition_id)
    if condition.version != version:
        raise Stale(condition)
    return condition


def condition_shift(
    condition: Condition,
    to_state: str,
    grounds: Grounds,
    *,
    actor: Actor,
    now: datetime,
    report: CrewReport | None = None,
) -> None:
    """Write a move that is allowed, in the caller's transaction, with its event.

    report: where it is drawn from what crews said, which may have been hours before `now`. Raises
    Stale where somebody was quicker, ValidationError where words are too long.
    """
    before = condition.state
    _write(condition, _fields(to_state, grounds, actor, report.at if report else now))
    if (before in SETTLED) != (to_state in SETTLED):
        steps_relag(condition.job, list(condition.job.spaces.all()))
    event_record(
        actor=actor,
        now=now,
        verb="moved",
        thing=condition,
        branch=condition.job.site.branch,
        what=_what(condition, before) | ({"heard": report.kept} if report else {}),
    )
    outcomes_replace(condition)


def condition_hear(
    condition: Condition, report: CrewReport, *, actor: Actor, now: datetime
) -> None:
    """Keep what was heard late of days gone by, where the condition stays as it is."""
    what = _what(condition, condition.state) | {"heard": report.kept}
    branch = condition.job.site.branch
    event_record(actor=actor, now=now, verb="heard of", thing=condition, branch=branch, what=what)
    outcomes_replace(condition)


def _with_branch(condition_id: int) -> Condition:
    return Condition.objects.select_related("job__site__branch").get(pk=condition_id)


def _fields(
    to_state: str, grounds: Grounds, actor: Actor, moved_at: datetime | None
) -> dict[str, Any]:
    return {
        "state": to_state,
        "promised_for": grounds.day if to_state == Condition.State.PROMISED else None,
        "reason": _reason(to_state, grounds),
        "document": grounds.document or grounds.paper,
        "moved_by": actor.who[:120],
        "moved_at": moved_at,
    }


def _reason(to_state: str, grounds: Grounds) -> str:
    """Return the reason in one line; a waiver says whose it is, and of which day."""
    if to_state != Condition.State.WAIVED:
        return grounds.reason
    day = grounds.day.isoformat() if grounds.day else ""
    return ", ".join(part for part in (grounds.name, day, grounds.paper, grounds.reason) if part)


def _write(condition: Condition, fields: dict[str, Any]) -> None:
    """Write where the version is still the one that was read; else Stale with what is there."""
    for name, value in fields.items():
        setattr(condition, name, value)
    others = {field.name for field in Condition._meta.fields} - set(fields)
    condition.clean_fields(exclude=others)
    fields["version"] = condition.version + 1
    same = Condition.objects.filter(pk=condition.pk, version=condition.version)
    if not same.update(**fields):
        raise Stale(_with_branch(condition.pk))
    condition.version = fields["version"]


def _what(condition: Condition, before: str) -> dict[str, Any]:
    what = {
        "job": condition.job_id,
        "code": condition.code,
        "state": [before, condition.state],
        "promised_for": condition.promised_for and condition.promised_for.isoformat(),
        "ready_date": condition.job.ready_date and condition.job.ready_date.isoformat(),
        "reason": condition.reason,
        "document": condition.document,
    }
    return {name: value for name, value in what.items() if value}
