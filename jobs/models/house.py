"""Jobs and their measured spaces; knows nothing of weeks and crews."""

from typing import Any

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from contractor.access import Scope
from contractor.models import Material
from contractor.models.fields import positive_check
from contractor.plan_ids import job_plan_id
from jobs.models.customer import Site


class JobQuerySet(models.QuerySet["Job"]):
    """Jobs by who may see them and by what is left to do."""

    def visible_to(self, scope: Scope) -> "JobQuerySet":
        """Keep the jobs of the scope's branches."""
        return self if scope.all_branches else self.filter(site__branch_id__in=scope.branch_ids)

    def open(self) -> "JobQuerySet":
        """Keep the jobs that are still to be done."""
        return self.filter(state=Job.State.OPEN)


class Job(models.Model):
    """One house or unit to be insulated at a site."""

    class State(models.TextChoices):
        OPEN = "open", "open"
        FINISHED = "finished", "finished"
        CALLED_OFF = "called_off", "called off"

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="jobs")
    unit = models.CharField(max_length=60, blank=True, help_text="Lot, unit or house number.")
    year_built = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(1700), MaxValueValidator(2100)],
        help_text="Empty for a new house.",
    )
    ready_date = models.DateField(
        null=True, blank=True, help_text="The day on which the builder says it will be ready."
    )
    promised_date = models.DateField(
        null=True, blank=True, help_text="The working day by which we said we would be finished."
    )
    owner_name = models.CharField(
        max_length=120, blank=True, help_text="Of a house that somebody lives in: whom we tell."
    )
    owner_email = models.EmailField(blank=True)
    owner_phone = models.CharField(max_length=30, blank=True)
    owner_language = models.CharField(max_length=5, choices=settings.LANGUAGES, default="en")
    state = models.CharField(max_length=10, choices=State, default=State.OPEN)
    setup_person_minutes = models.PositiveIntegerField(default=60)
    version = models.PositiveIntegerField(default=1)
    created_at = models.DateTimeField()

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["site__name", "unit"]
        constraints = [
            models.UniqueConstraint(fields=["site", "unit"], name="job_unit_at_site"),
            models.CheckConstraint(
                condition=Q(year_built__isnull=True) | Q(year_built__range=(1700, 2100)),
                name="job_year_built",
                violation_error_message="Year built: expected 1700 to 2100, or empty.",
            ),
            models.CheckConstraint(
                condition=~Q(owner_name="") | Q(owner_email="", owner_phone=""),
                name="job_owner_has_name",
                violation_error_message="Say whose mail or phone it is.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.site.name}, {self.unit}" if self.unit else self.site.name

    @property
    def is_new_house(self) -> bool:
        """A house without a year of building is a new one."""
        return self.year_built is None

    @property
    def plan_id(self) -> str:
        """The planner's name of this job."""
        return job_plan_id(self.pk)


def _measure(**kwargs: Any) -> "models.DecimalField[Any, Any]":
    return models.DecimalField(max_digits=10, decimal_places=3, null=True, blank=True, **kwargs)


class Space(models.Model):
    """A part of a job with measures, as written on the takeoff."""

    class Kind(models.TextChoices):
        ATTIC_FLAT = "attic_flat", "attic flat"
        SLOPE_BAYS = "slope_bays", "slope bays"
        WALLS = "walls", "walls"
        RIM = "rim", "rim"
        KNEE_WALL = "knee_wall", "knee wall"
        FLOOR = "floor", "floor"
        AIR_SEAL = "air_seal", "air sealing"
        BAFFLES = "baffles", "baffles"

    class Cover(models.TextChoices):
        NET = "net", "net"
        BOARD = "board", "board"
        NONE = "none", "none"

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="spaces")
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=12, choices=Kind)
    area_ft2 = _measure()
    bays = models.PositiveIntegerField(null=True, blank=True)
    length_ft = _measure()
    run_ft = _measure()
    pitch = _measure(help_text="Rise in inches over a run of 12.")
    depth_in = _measure()
    spacing_in = _measure()
    vent_in = _measure()
    cover = models.CharField(max_length=6, choices=Cover, blank=True)
    target_r = _measure()
    material = models.ForeignKey(
        Material, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    lb_per_ft3 = _measure()
    board_in = _measure()
    framing_in = _measure()
    count = models.PositiveIntegerField(null=True, blank=True)
    note = models.CharField(max_length=500, blank=True)
    details = models.JSONField(
        default=dict,
        blank=True,
        help_text="Measures beyond the sheet's columns, by the names of takeoff/1.",
    )
    estimate = models.JSONField(
        default=dict, blank=True, help_text="What estimate/1 says of this space."
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["job", "name"], name="space_name_in_job"),
            positive_check("area_ft2", "space_area"),
            positive_check("length_ft", "space_length"),
            positive_check("run_ft", "space_run"),
            positive_check("depth_in", "space_depth"),
            positive_check("spacing_in", "space_spacing"),
            positive_check("target_r", "space_target_r"),
            positive_check("lb_per_ft3", "space_density"),
            positive_check("board_in", "space_board"),
            positive_check("framing_in", "space_framing"),
            positive_check("pitch", "space_pitch", zero=True),
            positive_check("vent_in", "space_vent", zero=True),
        ]

    def __str__(self) -> str:
        return f"{self.job}: {self.name}"
