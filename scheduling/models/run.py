"""Planning runs: the row is the truth about one solve, whatever process does the work."""

from datetime import datetime

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from contractor.access import Scope
from contractor.models import Branch
from contractor.workdays import IsoWeek


class PlanningRunQuerySet(models.QuerySet["PlanningRun"]):
    """Runs by who may see them and by what is under way."""

    def visible_to(self, scope: Scope) -> "PlanningRunQuerySet":
        """Keep the runs of the scope's branches."""
        return self if scope.all_branches else self.filter(branch_id__in=scope.branch_ids)

    def under_way(self) -> "PlanningRunQuerySet":
        """Keep the runs that nobody has ended."""
        return self.filter(state__in=PlanningRun.UNDER_WAY)

    def unattended(self, now: datetime) -> "PlanningRunQuerySet":
        """Keep the runs under way that no living process works on."""
        waits = Q(state=PlanningRun.State.ASKED_FOR)
        left = Q(state=PlanningRun.State.RUNNING, lease_until__lte=now)
        return self.filter(waits | left)

    def claimable(self, now: datetime) -> "PlanningRunQuerySet":
        """Keep the unattended runs that may be tried once more."""
        return self.unattended(now).filter(attempt__lt=PlanningRun.MAX_ATTEMPTS)

    def proposals(self) -> "PlanningRunQuerySet":
        """Keep the runs whose plan nobody has decided on."""
        return self.filter(state__in=PlanningRun.PROPOSING, verdict=PlanningRun.Verdict.OPEN)


class PlanningRun(models.Model):
    """One solve: asked for, running, then ended; its result is a proposal until accepted."""

    class State(models.TextChoices):
        ASKED_FOR = "asked_for", "asked for"
        RUNNING = "running", "running"
        FINISHED = "finished", "finished"
        STOPPED = "stopped", "stopped, best kept"
        CANCELLED = "cancelled", "cancelled"
        FAILED = "failed", "failed"

    class Verdict(models.TextChoices):
        OPEN = "open", "not decided"
        ACCEPTED = "accepted", "accepted"
        THROWN_AWAY = "thrown_away", "thrown away"

    class Wish(models.TextChoices):
        NONE = "", "go on"
        STOP = "stop", "stop and keep best"
        CANCEL = "cancel", "cancel"

    UNDER_WAY = (State.ASKED_FOR, State.RUNNING)
    PROPOSING = (State.FINISHED, State.STOPPED)
    MAX_ATTEMPTS = 3

    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="runs")
    first_monday = models.DateField()
    weeks = models.PositiveSmallIntegerField(
        default=2, validators=[MinValueValidator(1), MaxValueValidator(6)]
    )
    seconds = models.PositiveSmallIntegerField(
        default=20, validators=[MinValueValidator(1), MaxValueValidator(600)]
    )
    seed = models.PositiveIntegerField(default=1)
    rest_from = models.DateTimeField(
        null=True,
        blank=True,
        help_text="Of a plan for the rest of a day: the moment from which it plans.",
    )
    state = models.CharField(max_length=10, choices=State, default=State.ASKED_FOR)
    wish = models.CharField(max_length=6, choices=Wish, default=Wish.NONE, blank=True)
    verdict = models.CharField(max_length=11, choices=Verdict, default=Verdict.OPEN)
    attempt = models.PositiveSmallIntegerField(default=0)
    lease_owner = models.CharField(max_length=80, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    base_revisions = models.JSONField(default=dict, help_text='{"2027-W09": 4} when it was asked.')
    problem = models.JSONField(help_text="week-problem/1 as it was when the run was asked for.")
    best_plan = models.JSONField(null=True, blank=True, help_text="week-plan/1, best so far.")
    progress = models.JSONField(default=list, help_text="[{seconds, cost, bound, gap}] over time.")
    outcome = models.JSONField(null=True, blank=True, help_text="week-outcome/1 once ended.")
    error = models.CharField(max_length=500, blank=True)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    asked_at = models.DateTimeField()
    rung_at = models.DateTimeField(
        null=True, blank=True, help_text="When a worker was last called."
    )
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    decided_at = models.DateTimeField(null=True, blank=True)

    objects = PlanningRunQuerySet.as_manager()

    class Meta:
        ordering = ["-asked_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["branch"],
                condition=Q(state__in=["asked_for", "running"]),
                name="run_one_under_way",
            ),
            models.CheckConstraint(
                condition=Q(weeks__gte=1) & Q(weeks__lte=6),
                name="run_weeks",
                violation_error_message=_("Plan 1 to 6 weeks at once."),
            ),
        ]

    @property
    def first(self) -> IsoWeek:
        """The first of the weeks that are planned."""
        return IsoWeek.of(self.first_monday)

    @property
    def is_proposal(self) -> bool:
        """Whether its plan waits for somebody to accept it or throw it away."""
        return self.state in self.PROPOSING and self.verdict == self.Verdict.OPEN

    def __str__(self) -> str:
        return f"Run {self.pk} of {self.branch}: {self.state}"
