"""Celery's tasks: runs, runs left alone, the post, what runs out; each is one call."""

from celery import shared_task
from django.utils import timezone

from contractor.events import Actor
from jobs.readiness.services.expiry import conditions_expire
from scheduling.checklists.mail_round import mail_round
from scheduling.runs.bell import runs_ring_again
from scheduling.runs.services.replans import replans_due
from scheduling.runs.worker import run_work


@shared_task(name="scheduling.tasks.run_execute")  # type: ignore[untyped-decorator]
def run_execute(run_id: int) -> None:
    """Work on one run, in a child process, and ask for what waited for its end (queue `solve`)."""
    run_work(run_id)
    replans_due(now=timezone.now())


@shared_task(name="scheduling.tasks.runs_sweep")  # type: ignore[untyped-decorator]
def runs_sweep() -> None:
    """Ring again for runs nobody works on, ask for plans of days (queue `default`, by beat)."""
    runs_ring_again(now=timezone.now())
    replans_due(now=timezone.now())


@shared_task(name="scheduling.tasks.mail_send")  # type: ignore[untyped-decorator]
def mail_send() -> None:
    """Write the digests whose time it is and send what waits (queue `default`, by beat)."""
    mail_round()


@shared_task(name="scheduling.tasks.conditions_lapse")  # type: ignore[untyped-decorator]
def conditions_lapse() -> None:
    """Send what has run out back to owed (queue `default`, by beat)."""
    conditions_expire(actor=Actor.of_command("expire_conditions"), now=timezone.now())
