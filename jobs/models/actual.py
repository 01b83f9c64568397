"""What a step really took, as it was reported; rows are added and never changed; knows no week."""

from typing import Any, NoReturn

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from contractor.models import Branch, Crew, Machine
from contractor.models.fields import positive_check
from jobs.models.work import Step

MOST_PEOPLE = 12
MOST_MINUTES = 10_000
MOST_BAGS = 5_000


class ActualQuerySet(models.QuerySet["Actual"]):
    """Actuals by whether they still hold; refuses to change or remove any."""

    def update(self, **kwargs: Any) -> NoReturn:
        raise TypeError("Actuals are append-only: they cannot be changed.")

    def delete(self) -> NoReturn:
        raise TypeError("Actuals are append-only: they cannot be deleted.")

    def active(self) -> "ActualQuerySet":
        """Keep the newest of each step that says something: what was corrected is left out."""
        newest = Actual.objects.values("step").annotate(newest=models.Max("pk")).values("newest")
        return self.filter(pk__in=newest, withdrawn=False)

    def of_branch(self, branch: Branch) -> "ActualQuerySet":
        """Keep those of the branch's jobs."""
        return self.filter(step__job__site__branch=branch)


class Actual(models.Model):
    """A finished step: who did it with what, the minutes on site and the bags, as entered.

    A correction is a row of its own; the newest holds, the older ones are kept. `estimated_*` is
    what the step said for so many people when this was entered. A step that turns out not to be
    finished has its row withdrawn by a further one, which keeps the figures.
    """

    step = models.ForeignKey(Step, on_delete=models.PROTECT, related_name="actuals")
    crew = models.ForeignKey(Crew, on_delete=models.PROTECT, related_name="+")
    machine = models.ForeignKey(
        Machine, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    people = models.PositiveSmallIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_PEOPLE)]
    )
    minutes = models.PositiveIntegerField(
        validators=[MinValueValidator(1), MaxValueValidator(MOST_MINUTES)],
        help_text="Minutes of the crew on site for the whole step, set-up and breaks left out.",
    )
    bags = models.PositiveIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(MOST_BAGS)]
    )
    worked_on = models.DateField(help_text="The day on which the step was finished.")
    note = models.CharField(max_length=200, blank=True)
    said = models.BooleanField(
        default=False, help_text="Drawn from what crews said on their phones."
    )
    withdrawn = models.BooleanField(
        default=False, help_text="The step is not finished after all: no figure holds."
    )
    estimated_minutes = models.PositiveIntegerField()
    estimated_bags = models.PositiveIntegerField(null=True, blank=True)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    who = models.CharField(max_length=120, help_text="The name, kept even where there is no user.")

    objects = ActualQuerySet.as_manager()

    class Meta:
        ordering = ["step", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(people__range=(1, MOST_PEOPLE)),
                name="actual_people",
                violation_error_message=format_lazy(
                    _("People: expected 1 to {most}."), most=MOST_PEOPLE
                ),
            ),
            positive_check("minutes", "actual_minutes"),
            positive_check("estimated_minutes", "actual_estimated_minutes"),
        ]

    def __str__(self) -> str:
        return f"{self.step}: {self.minutes} min"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk is not None:
            raise TypeError("Actuals are append-only: they cannot be changed.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError("Actuals are append-only: they cannot be deleted.")
