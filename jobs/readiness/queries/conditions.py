"""Which conditions a person sees, and which moves of one are open; writes nothing."""

from django.db.models import QuerySet

from contractor.access import Scope
from contractor.models import User
from jobs.catalogue.rows import mover_of_user, terms_of
from jobs.conditions.states import moves_open
from jobs.models import (
    Condition,
    Job,
)


def moves_for(condition: Condition, user: User) -> tuple[str, ...]:
    """Return the states to which this person may try to move the condition."""
    return moves_open(terms_of(condition), condition.state, mover_of_user(user))


def conditions_visible(scope: Scope) -> QuerySet[Condition]:
    """Return the conditions of the jobs that the scope sees."""
    jobs = Job.objects.visible_to(scope).values("pk")
    return Condition.objects.filter(job__in=jobs).select_related("job__site__branch")
