"""Who works on a run, and for how long: claims, heartbeats and ends, each one guarded UPDATE."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import F, QuerySet

from contractor.events import Actor, event_record
from contractor.models import Event
from scheduling.models import PlanningRun

State, Wish = PlanningRun.State, PlanningRun.Wish
PLANNER = Actor(who="planner", source=Event.Source.PLANNER)
GAVE_UP = "The planner stopped {attempts} times before it was finished; nothing was changed."


@dataclass(frozen=True)
class RunClaim:
    """The right to work on a run: it ends when another process claims the run."""

    run_id: int
    owner: str
    attempt: int

    def rows(self) -> QuerySet[PlanningRun]:
        """The run, as long as this claim still holds."""
        return PlanningRun.objects.filter(
            pk=self.run_id, lease_owner=self.owner, attempt=self.attempt, state=State.RUNNING
        )


def run_claim(
    *, run_id: int, owner: str, now: datetime, lease_seconds: int | None = None
) -> RunClaim | None:
    """Claim a run that waits or whose worker is gone; None when there is nothing to claim.

    One conditional UPDATE, so that of any number of processes one gets it. The lease lasts as
    settings say, or `lease_seconds` for who does not beat.
    """
    claimed = (
        PlanningRun.objects.claimable(now)
        .filter(pk=run_id)
        .exclude(wish=Wish.CANCEL)
        .update(
            state=State.RUNNING,
            lease_owner=owner,
            lease_until=_lease(now, lease_seconds),
            attempt=F("attempt") + 1,
        )
    )
    if not claimed:
        return None
    run = PlanningRun.objects.get(pk=run_id)
    claim = RunClaim(run_id, owner, run.attempt)
    claim.rows().filter(started_at=None).update(started_at=now)
    return claim


def run_beat(
    *,
    claim: RunClaim,
    now: datetime,
    progress: Sequence[dict[str, Any]],
    best_plan: dict[str, Any] | None,
) -> str | None:
    """Extend the lease and write how far the solve is; return the office's wish.

    None says that the claim is lost: the process must stop and write nothing.
    """
    values: dict[str, Any] = {"lease_until": _lease(now), "progress": list(progress)}
    if best_plan is not None:
        values["best_plan"] = best_plan
    if not claim.rows().update(**values):
        return None
    return claim.rows().values_list("wish", flat=True).first()


def run_finish(
    *, claim: RunClaim, now: datetime, outcome: dict[str, Any], progress: Sequence[dict[str, Any]]
) -> bool:
    """Keep the outcome as a proposal, or nothing of it where the run was cancelled meanwhile."""
    with transaction.atomic():
        run = claim.rows().select_related("branch").first()
        if run is None:
            return False
        kept = claim.rows().exclude(wish=Wish.CANCEL)
        stopped = run.wish == Wish.STOP and outcome["status"] == "stopped"
        done = kept.update(
            state=State.STOPPED if stopped else State.FINISHED,
            outcome=outcome,
            best_plan=outcome["plan"],
            progress=list(progress),
            ended_at=now,
            lease_until=None,
        )
        if done:
            what = {name: outcome[name] for name in ("status", "cost", "bound", "seconds")}
            _ended(run, now, "stopped" if stopped else "finished", what)
            return True
        return _cancelled(claim.rows().filter(wish=Wish.CANCEL), run, now)


def run_fail(
    *, claim: RunClaim, now: datetime, error: str, outcome: dict[str, Any] | None = None
) -> bool:
    """End a run that no further attempt would help; an outcome says what no plan keeps."""
    with transaction.atomic():
        run = claim.rows().select_related("branch").first()
        if run is None:
            return False
        claim.rows().update(outcome=outcome)
        return _failed(claim.rows(), run, now, error)


def run_note_error(*, claim: RunClaim, error: str) -> None:
    """Keep why an attempt broke off, for the day on which it was the last one."""
    claim.rows().update(error=error[:500])


def run_release(*, run_id: int, owner: str, attempt_before: int, now: datetime) -> None:
    """Give a run free whose worker died, so that the next attempt need not await the lease.

    A worker that died before it could claim has used up an attempt, too.
    """
    owned = PlanningRun.objects.filter(pk=run_id, lease_owner=owner, state=State.RUNNING)
    if not owned.update(lease_until=now):
        unclaimed = PlanningRun.objects.unattended(now).filter(pk=run_id, attempt=attempt_before)
        unclaimed.update(attempt=F("attempt") + 1)


def runs_settle(*, now: datetime) -> None:
    """End the runs that nobody works on and nobody should: cancelled ones and worn-out ones."""
    waiting = PlanningRun.objects.unattended(now).select_related("branch")
    for run in waiting.filter(wish=Wish.CANCEL):
        with transaction.atomic():
            _cancelled(PlanningRun.objects.unattended(now).filter(pk=run.pk), run, now)
    for run in waiting.filter(attempt__gte=PlanningRun.MAX_ATTEMPTS):
        error = " ".join(filter(None, [GAVE_UP.format(attempts=run.attempt), run.error]))
        with transaction.atomic():
            _failed(PlanningRun.objects.unattended(now).filter(pk=run.pk), run, now, error)


def _cancelled(rows: QuerySet[PlanningRun], run: PlanningRun, now: datetime) -> bool:
    values = {"state": State.CANCELLED, "ended_at": now, "lease_until": None, "progress": []}
    nothing: dict[str, Any] = {"outcome": None, "best_plan": None}
    if not rows.update(**values, **nothing):
        return False
    _ended(run, now, "cancelled", {})
    return True


def _failed(rows: QuerySet[PlanningRun], run: PlanningRun, now: datetime, error: str) -> bool:
    if not rows.update(state=State.FAILED, ended_at=now, error=error[:500], lease_until=None):
        return False
    _ended(run, now, "failed", {"error": error[:500]})
    return True


def _ended(run: PlanningRun, now: datetime, verb: str, what: dict[str, Any]) -> None:
    event_record(actor=PLANNER, now=now, verb=verb, thing=run, branch=run.branch, what=what)


def _lease(now: datetime, seconds: int | None = None) -> datetime:
    return now + timedelta(seconds=seconds or settings.RUN_LEASE_SECONDS)
