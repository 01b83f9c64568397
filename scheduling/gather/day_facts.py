"""A row of what a crew said, as the pure rules of a day know it; decides nothing."""

from scheduling.models import Fact
from scheduling.progress import DayFact


def day_fact(fact: Fact) -> DayFact:
    """Return a row as the pure rules know it, corrected figures over what was said."""
    return DayFact(
        id=str(fact.pk),
        kind=fact.kind,
        at=fact.happened_at,
        job=fact.job_id,
        step=fact.step_kind,
        condition=fact.condition_id or fact.what.get("condition"),
        what=fact.figures,
    )
