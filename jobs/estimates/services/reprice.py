"""Estimates open jobs anew where a rate or a chart changed; posted and finished ones stand."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from django.db.models import QuerySet

from contractor.events import Actor
from contractor.models import Branch, Machine, Material
from jobs.desk.services import job_locked
from jobs.estimates.branch_rates import BranchRates, branch_rates
from jobs.estimates.services.estimate import estimate_changes
from jobs.estimating import TakeoffError
from jobs.localtime import local_date
from jobs.models import Job
from jobs.plan_ports import planned_days
from jobs.wording import sentence_text


@dataclass(frozen=True)
class Repriced:
    """How many open jobs came out otherwise, came out the same, stood as posted.

    refused: jobs that the estimator does not take any more, each with its reason; their estimates
    stand as they were.
    """

    changed: int = 0
    same: int = 0
    posted: int = 0
    refused: tuple[str, ...] = ()

    def plus(self, other: "Repriced") -> "Repriced":
        """Return both together."""
        return Repriced(
            self.changed + other.changed,
            self.same + other.same,
            self.posted + other.posted,
            self.refused + other.refused,
        )

    def as_json(self) -> dict[str, object]:
        """Return the counts as an event keeps them."""
        return {
            "changed": self.changed,
            "same": self.same,
            "posted": self.posted,
            "refused": list(self.refused),
        }


def branch_reprice(branch: Branch, *, actor: Actor, now: datetime) -> Repriced:
    """Estimate the open jobs of a branch anew, in the caller's transaction.

    A job with a step in a posted week, of whatever day, stands as it is: crews and builders have
    been told.
    """
    return jobs_reprice(Job.objects.all(), branch=branch, actor=actor, now=now)


def material_reprice(material: Material, *, actor: Actor, now: datetime) -> Repriced:
    """Do the same for the open jobs of every branch that use a material."""
    found = Repriced()
    jobs = Job.objects.filter(spaces__material=material).distinct()
    for branch in Branch.objects.order_by("pk"):
        found = found.plus(jobs_reprice(jobs, branch=branch, actor=actor, now=now))
    return found


@transaction.atomic
def thing_reprice(*, thing: Branch | Machine | Material, actor: Actor, now: datetime) -> Repriced:
    """Estimate anew the open jobs that a yard, a machine or a material is about."""
    if isinstance(thing, Material):
        return material_reprice(thing, actor=actor, now=now)
    branch = thing if isinstance(thing, Branch) else thing.branch
    return branch_reprice(branch, actor=actor, now=now)


def jobs_reprice(jobs: "QuerySet[Job]", *, branch: Branch, actor: Actor, now: datetime) -> Repriced:
    """Do the same for some jobs; those of other branches and those not open are left out."""
    rates = branch_rates(branch, local_date(branch, now))
    open_jobs = jobs.filter(site__branch=branch, state=Job.State.OPEN)
    posted = {day.job_id for day in planned_days(open_jobs) if day.posted}
    found = Repriced(posted=len(posted))
    for job_id in open_jobs.exclude(pk__in=posted).order_by("pk").values_list("pk", flat=True):
        found = found.plus(_reprice(job_id, rates, actor=actor, now=now))
    return found


def _reprice(job_id: int, rates: BranchRates, *, actor: Actor, now: datetime) -> Repriced:
    job = job_locked(job_id)
    if job.state != Job.State.OPEN:
        return Repriced()
    try:
        with transaction.atomic():
            changes = estimate_changes(job, actor=actor, now=now, rates=rates)
    except TakeoffError as error:
        return Repriced(refused=(f"{job}: {sentence_text(error.located)}",))
    return Repriced(changed=1) if changes else Repriced(same=1)
