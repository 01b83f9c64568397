"""The planner's ids of rows, such as `crew-12`: made and read here alone; pure."""

from enum import StrEnum


class PlanNoun(StrEnum):
    """What the planner names by an id."""

    CREW = "crew"
    JOB = "job"
    STEP = "step"
    SITE = "site"


def plan_id(noun: PlanNoun, pk: int) -> str:
    """Return the planner's id of a row."""
    return f"{noun}-{pk}"


def crew_plan_id(pk: int) -> str:
    """Return the planner's id of a crew's row."""
    return plan_id(PlanNoun.CREW, pk)


def job_plan_id(pk: int) -> str:
    """Return the planner's id of a job's row."""
    return plan_id(PlanNoun.JOB, pk)


def step_plan_id(pk: int) -> str:
    """Return the planner's id of a step's row."""
    return plan_id(PlanNoun.STEP, pk)


def row_of(planner_id: str) -> int:
    """Return the number of the row that an id names. Raises ValueError for any other text."""
    noun, _, number = planner_id.partition("-")
    PlanNoun(noun)
    return int(number)
