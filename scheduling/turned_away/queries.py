"""Crews turned away that a person of the office sees, and how many nobody has dealt with."""

from datetime import date
from uuid import UUID

from django.db.models import Count, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from contractor.access import Action, Person, Scope, may, scope_of
from contractor.models import Branch
from scheduling.models import TurnedAway


def turned_away_visible(scope: Scope, fact_id: UUID) -> TurnedAway | None:
    """Return a crew turned away of a branch that the person sees, by its fact; else None."""
    rows = TurnedAway.objects.visible_to(scope).select_related("fact__crew", "fact__job__site")
    return rows.select_related("branch").filter(pk=fact_id).first()


def unseen_elsewhere(branch: Branch, day: date) -> list[TurnedAway]:
    """Return those of a branch on other days that nobody has dealt with, the last one first."""
    rows = TurnedAway.objects.unseen().filter(branch=branch).exclude(day=day)
    return list(rows.select_related("fact__crew", "fact__job__site").order_by("-day", "-told_at"))


def with_unseen(branches: QuerySet[Branch]) -> QuerySet[Branch]:
    """Read along with branches how many of each nobody has dealt with, as `unseen`."""
    unseen = TurnedAway.objects.unseen().filter(branch=OuterRef("pk")).order_by()
    number = unseen.values("branch").annotate(number=Count("pk")).values("number")
    return branches.annotate(unseen=Coalesce(Subquery(number), 0))


def turned_away_unseen(person: Person) -> int:
    """Return how many the office has not dealt with yet; one statement, none for others."""
    if not may(person, Action.PLAN_WEEK):
        return 0
    return TurnedAway.objects.visible_to(scope_of(person)).unseen().count()
