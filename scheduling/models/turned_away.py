"""Crews turned away, as the office deals with each: the plan asked for, who saw it and when."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from contractor.access import Scope
from contractor.models import Branch
from scheduling.models.fact import Fact
from scheduling.models.run import PlanningRun


class TurnedAwayQuerySet(models.QuerySet["TurnedAway"]):
    """Crews turned away by who may see it and by what is still to be done."""

    def visible_to(self, scope: Scope) -> "TurnedAwayQuerySet":
        """Keep those of the scope's branches; a crew lead deals with none."""
        if scope.crew_id is not None:
            return self.none()
        return self if scope.all_branches else self.filter(branch_id__in=scope.branch_ids)

    def unseen(self) -> "TurnedAwayQuerySet":
        """Keep those that nobody in the office has dealt with."""
        return self.filter(seen_at=None)

    def unplanned(self) -> "TurnedAwayQuerySet":
        """Keep those for which the rest of the day is still to be planned anew."""
        return self.filter(run=None, no_plan="")


class TurnedAway(models.Model):
    """What the office does about one turned-away fact; written with it, in its transaction.

    no_plan: why no plan of the rest of that day was asked for. seen_*: who dealt with it.
    """

    fact = models.OneToOneField(
        Fact, on_delete=models.PROTECT, primary_key=True, related_name="turned_away"
    )
    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="turned_away")
    day = models.DateField()
    told_at = models.DateTimeField(help_text="When the fact reached us.")
    run = models.ForeignKey(
        PlanningRun, on_delete=models.PROTECT, null=True, related_name="turned_away"
    )
    no_plan = models.CharField(max_length=200, blank=True)
    seen_at = models.DateTimeField(null=True)
    seen_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    seen_who = models.CharField(max_length=120, blank=True)

    objects = TurnedAwayQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "turned away"
        ordering = ["told_at", "fact"]
        indexes = [
            models.Index(
                fields=["branch", "day"], condition=Q(seen_at=None), name="turned_away_unseen"
            )
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(seen_at=None, seen_who="")
                | (Q(seen_at__isnull=False) & ~Q(seen_who="")),
                name="turned_away_seen_by_somebody",
                violation_error_message=_("Who saw it and when go together."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.fact}, {'seen' if self.seen_at else 'not seen'}"
