"""Answers for a house without pause until told to stop; for a child process."""

from datetime import timedelta
from pathlib import Path
from typing import Any

from jobs.conditions.states import Grounds
from jobs.estimates.services.estimate import job_estimate
from jobs.models import Condition
from jobs.readiness.services.condition import condition_move
from tests.people import ACTOR, MONDAY, NOW, attic_make, company_make, job_make, site_make

MOST_ANSWERS = 20_000


def main(stop_file: str, started_file: str) -> dict[str, Any]:
    """Move one condition from promise to promise; each move is a new version and an event."""
    company = company_make()
    job = job_make(site_make(company.fairfield))
    attic_make(job, company.cellulose)
    job_estimate(job_id=job.pk, actor=ACTOR, now=NOW)
    condition = Condition.objects.get(job=job, code="ceiling_board")
    version, answers = condition.version, 0
    while not Path(stop_file).exists() and answers < MOST_ANSWERS:
        condition_move(
            condition_id=condition.pk,
            version=version,
            to_state="promised",
            grounds=Grounds(day=MONDAY + timedelta(days=answers % 5)),
            actor=ACTOR,
            now=NOW,
        )
        version, answers = version + 1, answers + 1
        Path(started_file).touch()
    return {"answers": answers, "condition": condition.pk}
