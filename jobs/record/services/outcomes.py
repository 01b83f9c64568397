"""How outcomes follow the moves of a condition: made anew from the events, never by hand."""

from datetime import date

from contractor.models import Event
from jobs.conditions.record import MoveMade, outcomes
from jobs.localtime import branch_calendar, local_date
from jobs.models import Condition, PromiseOutcome


def outcomes_replace(condition: Condition) -> None:
    """Judge again all dates and reports of a condition, in the caller's transaction."""
    branch = condition.job.site.branch
    work = branch_calendar(branch)
    moves = _moves(condition)
    condition.outcomes.all().delete()
    PromiseOutcome.objects.bulk_create(
        PromiseOutcome(
            condition=condition,
            kind=outcome.kind,
            said=outcome.said,
            came=outcome.came,
            slip_days=outcome.slip_days,
            found_true=outcome.found_true,
        )
        for outcome in outcomes(moves, work)
    )


def _moved(condition: Condition) -> list[Event]:
    """Return the events of its moves, the oldest first."""
    return list(
        Event.objects.filter(
            noun="condition", noun_id=str(condition.pk), what__has_key="state"
        ).order_by("id")
    )


def _moves(condition: Condition) -> list[MoveMade]:
    """Return the moves to be judged, in their order.

    What crews say comes in any order. So of moves in a row that are drawn from it the last one
    counts: it has the state before and after each of their days.
    """
    made: list[MoveMade] = []
    heard: list[MoveMade] = []
    for event in _moved(condition):
        if "heard" in event.what:
            days = event.what["heard"].get("days", [])
            heard = [
                _move(event, date.fromisoformat(day), before, after) for day, before, after in days
            ]
            continue
        day = local_date(condition.job.site.branch, event.at)
        made += [*heard, _move(event, day, *event.what["state"])]
        heard = []
    return made + heard


def _move(event: Event, day: date, before: str, after: str) -> MoveMade:
    return MoveMade(
        day=day,
        before=before,
        after=after,
        promised=_day(event.what.get("promised_for")),
        ready_date=_day(event.what.get("ready_date")),
    )


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
