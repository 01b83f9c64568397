"""What crews say of their day: facts, their photographs, the office's corrections; adds only."""

from typing import Any, NoReturn

from django.conf import settings
from django.db import models
from django.db.models import OuterRef, Q, Subquery
from django.utils.translation import gettext_lazy as _

from contractor.access import Scope
from contractor.models import Crew, Phone, Photo
from jobs.models import Condition, Job


class FactQuerySet(models.QuerySet["Fact"]):
    """Facts by who may see them; refuses to change or remove any."""

    def update(self, **kwargs: Any) -> NoReturn:
        raise TypeError("Facts are append-only: they cannot be changed.")

    def delete(self) -> NoReturn:
        raise TypeError("Facts are append-only: they cannot be deleted.")

    def visible_to(self, scope: Scope) -> "FactQuerySet":
        """Keep the scope's branches, and for a crew lead the own crew."""
        if scope.crew_id is not None:
            return self.filter(crew_id=scope.crew_id)
        return self if scope.all_branches else self.filter(crew__branch_id__in=scope.branch_ids)

    def with_figures(self) -> "FactQuerySet":
        """Read the newest correction with each fact, in the same statement."""
        newest = FactCorrection.objects.filter(fact=OuterRef("pk")).order_by("-id").values("after")
        return self.annotate(corrected=Subquery(newest[:1]))


class AppendOnly(models.Model):
    """A row that is written once."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise TypeError(f"{self._meta.verbose_name}: rows are added, never changed.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError(f"{self._meta.verbose_name}: rows are added, never deleted.")


class Fact(AppendOnly):
    """One thing that a crew said of its day; the plan is answered by it and never changed.

    It hangs on crew, day and house, not on a stop: a week that is posted anew replaces its stops.
    """

    class Kind(models.TextChoices):
        SET_OUT = "set_out", "set out"
        ARRIVED = "arrived", "arrived"
        CHECKED = "checked", "checked"
        STARTED = "started", "started"
        FINISHED = "finished", "finished"
        TURNED_AWAY = "turned_away", "turned away"
        PHOTO = "photo", "photo"
        NOTE = "note", "note"

    id = models.UUIDField(primary_key=True, help_text="Made on the phone, with the tap.")
    kind = models.CharField(max_length=11, choices=Kind)
    crew = models.ForeignKey(Crew, on_delete=models.PROTECT, related_name="facts")
    day = models.DateField()
    job = models.ForeignKey(
        Job, on_delete=models.PROTECT, null=True, blank=True, related_name="facts"
    )
    step_kind = models.CharField(max_length=12, blank=True)
    condition = models.ForeignKey(
        Condition, on_delete=models.SET_NULL, null=True, blank=True, related_name="facts"
    )
    what = models.JSONField(default=dict, blank=True)
    tapped_at = models.DateTimeField(help_text="By the phone's own clock.")
    happened_at = models.DateTimeField(help_text="Set right by what that clock showed when sent.")
    received_at = models.DateTimeField()
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    who = models.CharField(max_length=120, help_text="The name, kept even where there is no user.")
    phone = models.ForeignKey(Phone, on_delete=models.PROTECT, null=True, related_name="+")
    seen_version = models.PositiveIntegerField(
        null=True, help_text="The posted version of the week that the phone showed."
    )
    left_out = models.CharField(
        max_length=300, blank=True, help_text="Why it changed nothing beyond being kept."
    )

    objects = FactQuerySet.as_manager()

    class Meta:
        ordering = ["happened_at", "id"]
        indexes = [
            models.Index(fields=["crew", "day"], name="fact_of_crew_day"),
            models.Index(fields=["day", "kind"], name="fact_of_day"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind__in=["photo", "note"]) | Q(job__isnull=False),
                name="fact_has_house",
                violation_error_message=_("All but notes and photos are about a house."),
            ),
            models.CheckConstraint(
                condition=~Q(kind__in=["started", "finished"]) | ~Q(step_kind=""),
                name="fact_has_step",
                violation_error_message=_("What is started or finished is a step."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.crew}, {self.day}: {self.get_kind_display()}"

    @property
    def figures(self) -> dict[str, Any]:
        """What it says, with the newest correction over it."""
        if "corrected" in self.__dict__:
            return {**self.what, **(self.__dict__["corrected"] or {})}
        corrections = list(self.corrections.all())
        return {**self.what, **corrections[-1].after} if corrections else dict(self.what)


class FactPhoto(AppendOnly):
    """The picture of a photo fact; it comes after the taps, made anew by us."""

    fact = models.OneToOneField(Fact, on_delete=models.PROTECT, related_name="picture")
    photo = models.OneToOneField(Photo, on_delete=models.PROTECT, related_name="+")
    received_at = models.DateTimeField()

    class Meta:
        ordering = ["fact"]

    def __str__(self) -> str:
        return f"Picture of {self.fact}"


class FactCorrection(AppendOnly):
    """Figures of a fact as the office set them right; the newest counts, all are kept."""

    fact = models.ForeignKey(Fact, on_delete=models.PROTECT, related_name="corrections")
    before = models.JSONField()
    after = models.JSONField()
    reason = models.CharField(max_length=200)
    corrected_at = models.DateTimeField()
    corrected_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    who = models.CharField(max_length=120, help_text="The name, kept even where there is no user.")

    class Meta:
        ordering = ["fact", "id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(reason=""),
                name="fact_correction_has_reason",
                violation_error_message=_("Who corrects a figure says why."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.fact}, corrected"
