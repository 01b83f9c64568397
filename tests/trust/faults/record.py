"""What the sweep of faults breaks of the services about what crews found."""

from collections.abc import Callable

from jobs.estimates.services.estimate import job_estimate
from jobs.models import Condition
from jobs.record.services.finding import finding_record
from tests.people import ACTOR, NOW, TODAY, Company, attic_make, job_make, site_make

Call = Callable[[], object]


def of_finding(company: Company) -> Call:
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    Condition.objects.filter(job=job, code="attic_access").update(state="reported_done")
    report = Condition.objects.get(job=job, code="attic_access")
    return lambda: finding_record(
        job_id=job.pk,
        day=TODAY,
        step_kinds=["flat_blow"],
        could_start=False,
        missing=[report.pk],
        note="hatch screwed shut",
        actor=ACTOR,
        now=NOW,
    )


CASES: dict[str, Callable[[Company], Call]] = {"finding_record": of_finding}
