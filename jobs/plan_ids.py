"""The planner's names of crews, jobs, steps and sites: makes and reads them; knows no row.

The planner knows no database: it calls the crew of row 12 `crew-12`, and every plan that it
hands back does so too. Nobody else writes such a name or takes one apart.
"""

CREW, JOB, STEP, SITE = "crew", "job", "step", "site"


class NotPlanIdError(ValueError):
    """A text is not the planner's name of what was to be read."""


def crew_plan_id(pk: int) -> str:
    """Return the planner's name of a crew: `crew-12`."""
    return _made(CREW, pk)


def job_plan_id(pk: int) -> str:
    """Return the planner's name of a job: `job-7`."""
    return _made(JOB, pk)


def step_plan_id(pk: int) -> str:
    """Return the planner's name of a step: `step-31`."""
    return _made(STEP, pk)


def site_plan_id(pk: int) -> str:
    """Return the planner's name of a site, which is a place to it: `site-4`."""
    return _made(SITE, pk)


def crew_pk(plan_id: str) -> int:
    """Return the key of a crew's row. Raises NotPlanIdError for any other text."""
    return _read(CREW, plan_id)


def job_pk(plan_id: str) -> int:
    """Return the key of a job's row. Raises NotPlanIdError for any other text."""
    return _read(JOB, plan_id)


def step_pk(plan_id: str) -> int:
    """Return the key of a step's row. Raises NotPlanIdError for any other text."""
    return _read(STEP, plan_id)


def _made(kind: str, pk: int) -> str:
    return f"{kind}-{pk}"


def _read(kind: str, plan_id: str) -> int:
    found, _, digits = plan_id.partition("-")
    if found != kind or not (digits.isascii() and digits.isdecimal()):
        raise NotPlanIdError(f"{plan_id!r} is no {kind}")
    return int(digits)
