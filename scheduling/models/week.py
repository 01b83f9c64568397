"""Weeks in their draft and posted versions, with crew-days, stops and parts."""

from datetime import date

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from contractor.access import Scope
from contractor.models import Branch, Crew, Machine
from contractor.models.fields import positive_check
from contractor.workdays import IsoWeek
from jobs.models import Job, Step


class WeekQuerySet(models.QuerySet["Week"]):
    """Weeks by who may see them."""

    def visible_to(self, scope: Scope) -> "WeekQuerySet":
        """Keep the weeks of the scope's branches."""
        return self if scope.all_branches else self.filter(branch_id__in=scope.branch_ids)


class Week(models.Model):
    """An ISO week of a branch. Its revision rises with every change, and guards each of them."""

    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="weeks")
    iso_year = models.PositiveSmallIntegerField()
    iso_week = models.PositiveSmallIntegerField()
    revision = models.PositiveIntegerField(default=0)

    objects = WeekQuerySet.as_manager()

    class Meta:
        ordering = ["branch", "iso_year", "iso_week"]
        constraints = [
            models.UniqueConstraint(
                fields=["branch", "iso_year", "iso_week"], name="week_once_in_branch"
            ),
            models.CheckConstraint(
                condition=Q(iso_week__gte=1) & Q(iso_week__lte=53),
                name="week_iso_number",
                violation_error_message=_("A week is numbered 1 to 53."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.branch} {self.label}"

    @property
    def label(self) -> str:
        """The week as ISO 8601 writes it: `2027-W09`."""
        return f"{self.iso_year}-W{self.iso_week:02d}"

    @property
    def monday(self) -> date:
        """The first day of the week."""
        return date.fromisocalendar(self.iso_year, self.iso_week, 1)

    @property
    def iso(self) -> IsoWeek:
        """The week as the calendar knows it."""
        return IsoWeek(self.iso_year, self.iso_week)


class WeekVersion(models.Model):
    """A week as the office drafts it, or as crews and builders see it."""

    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        POSTED = "posted", "posted"
        REPLACED = "replaced", "replaced"

    week = models.ForeignKey(Week, on_delete=models.CASCADE, related_name="versions")
    state = models.CharField(max_length=8, choices=State)
    created_at = models.DateTimeField()
    posted_at = models.DateTimeField(null=True, blank=True)
    posted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["week", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["week"], condition=Q(state="draft"), name="week_one_draft"
            ),
            models.UniqueConstraint(
                fields=["week"], condition=Q(state="posted"), name="week_one_posted"
            ),
            models.CheckConstraint(
                condition=~Q(state="posted") | Q(posted_at__isnull=False),
                name="week_posted_has_time",
                violation_error_message=_("A posted week says when it was posted."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.week} ({self.state})"


class CrewDayQuerySet(models.QuerySet["CrewDay"]):
    """Crew-days by who may see them."""

    def visible_to(self, scope: Scope) -> "CrewDayQuerySet":
        """Keep the scope's branches, and for a crew lead the posted days of the own crew."""
        if scope.crew_id is not None:
            return self.posted().filter(crew_id=scope.crew_id)
        return self if scope.all_branches else self.filter(crew__branch_id__in=scope.branch_ids)

    def posted(self) -> "CrewDayQuerySet":
        """Keep what crews and builders see."""
        return self.filter(version__state=WeekVersion.State.POSTED)


class CrewDay(models.Model):
    """Everything that one crew does on one day."""

    version = models.ForeignKey(WeekVersion, on_delete=models.CASCADE, related_name="crew_days")
    crew = models.ForeignKey(Crew, on_delete=models.PROTECT, related_name="crew_days")
    date = models.DateField()
    machines = models.ManyToManyField(Machine, blank=True, related_name="crew_days")

    objects = CrewDayQuerySet.as_manager()

    class Meta:
        ordering = ["date", "crew"]
        constraints = [
            models.UniqueConstraint(
                fields=["version", "crew", "date"], name="crew_day_once_in_version"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.crew} on {self.date}"


class Stop(models.Model):
    """A visit to one job within a crew-day, in driving order."""

    crew_day = models.ForeignKey(CrewDay, on_delete=models.CASCADE, related_name="stops")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="stops")
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["crew_day", "position"]
        constraints = [
            models.UniqueConstraint(fields=["crew_day", "job"], name="stop_job_in_crew_day"),
            models.UniqueConstraint(
                fields=["crew_day", "position"], name="stop_position_in_crew_day"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.crew_day}: {self.job}"


class Part(models.Model):
    """The minutes worked at a stop on one step."""

    stop = models.ForeignKey(Stop, on_delete=models.CASCADE, related_name="parts")
    step = models.ForeignKey(Step, on_delete=models.PROTECT, related_name="parts")
    minutes = models.PositiveIntegerField()
    step_minutes = models.PositiveIntegerField(
        help_text="What the whole step takes this crew, as it was when the part was planned."
    )

    class Meta:
        ordering = ["stop", "step__position"]
        constraints = [
            models.UniqueConstraint(fields=["stop", "step"], name="part_step_in_stop"),
            positive_check("minutes", "part_has_minutes"),
            models.CheckConstraint(
                condition=Q(step_minutes__gte=F("minutes")),
                name="part_within_step",
                violation_error_message=_("A part is not longer than its step."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.step}: {self.minutes} min"
