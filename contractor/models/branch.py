"""A branch: its place, hours, holidays, costs and measured drives; knows no crew and no job."""

from decimal import Decimal
from zoneinfo import available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from contractor.models.fields import coordinate_field, coordinates_check
from contractor.models.material import Material


def validate_time_zone(value: str) -> None:
    """Raise ValidationError unless `value` is an IANA zone name."""
    if value not in available_timezones():
        raise ValidationError(
            gettext("%(value)s: expected an IANA time zone such as America/Chicago.")
            % {"value": value}
        )


def validate_weekdays(value: str) -> None:
    """Raise ValidationError unless `value` is rising digits 1 (Monday) to 7 (Sunday)."""
    if not value or not set(value) <= set("1234567") or list(value) != sorted(set(value)):
        raise ValidationError(
            gettext("%(value)s: expected rising digits 1 to 7, Monday is 1.") % {"value": value}
        )


class CodeEdition(models.IntegerChoices):
    """The editions of the energy code whose tables of targets are known."""

    E2009 = 2009, "2009"
    E2012 = 2012, "2012"
    E2015 = 2015, "2015"
    E2018 = 2018, "2018"
    E2021 = 2021, "2021"


class Branch(models.Model):
    """A yard with its crews, machines, material, working days and time zone."""

    name = models.CharField(max_length=80, unique=True)
    address = models.CharField(max_length=200, blank=True)
    phone = models.CharField(max_length=30, blank=True)
    latitude = coordinate_field()
    longitude = coordinate_field()
    time_zone = models.CharField(
        max_length=60, default="America/Chicago", validators=[validate_time_zone]
    )
    working_weekdays = models.CharField(
        max_length=7, default="12345", validators=[validate_weekdays]
    )
    day_start = models.TimeField(default="07:00")
    day_minutes = models.PositiveIntegerField(
        default=480,
        validators=[MaxValueValidator(1440)],
        help_text="Minutes of work and driving that a day is planned for; the meal comes on top.",
    )
    overtime_minutes = models.PositiveIntegerField(default=90, validators=[MaxValueValidator(600)])
    meal_minutes = models.PositiveSmallIntegerField(
        default=30,
        help_text=(
            "The unpaid meal; 0 for none. A meal is not worked time where the crew is wholly"
            " relieved, ordinarily for 30 minutes or more (29 CFR 785.19)."
        ),
    )
    meal_latest_minutes = models.PositiveSmallIntegerField(
        default=300,
        help_text=(
            "How many minutes into the day the meal begins at the latest. 300: before the end of"
            " the fifth hour, as California Labor Code 512(a) asks; your state's law decides, and"
            " may ask for a second meal on a long day."
        ),
    )
    window_before_minutes = models.PositiveSmallIntegerField(
        default=30,
        help_text=(
            "Builders and owners are told a time of arrival that begins so much before the planned"
            " one, rounded to the half hour before (common practice, no source)."
        ),
    )
    window_after_minutes = models.PositiveSmallIntegerField(
        default=90,
        help_text="The same after the planned one, rounded to the half hour after.",
    )
    max_stops = models.PositiveSmallIntegerField(
        default=3, validators=[MinValueValidator(1), MaxValueValidator(6)]
    )
    min_part_minutes = models.PositiveIntegerField(default=60)
    road_factor = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal("1.30"))
    arrival_minutes = models.PositiveIntegerField(
        default=4, help_text="Added to every drive between two places: parking, gate, turning in."
    )
    ready_threshold = models.DecimalField(
        max_digits=3,
        decimal_places=2,
        default=Decimal("0.50"),
        help_text="A day is closed to a step whose chance to be ready is below this.",
    )
    code_edition = models.PositiveSmallIntegerField(
        choices=CodeEdition,
        null=True,
        blank=True,
        help_text="For suggested targets only: the adopted local code decides.",
    )
    climate_zone = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Climate zone of the yard's county, 1 to 8."
    )
    zone_is_marine = models.BooleanField(default=False, help_text="Zone 4 only: Marine 4.")
    hose_ft = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        help_text="Usual length of hose in feet; empty: as machines are rated.",
    )
    lift_ft = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Usual lift in feet; empty: as machines are rated."
    )
    heat_on = models.BooleanField(
        default=False, help_text="Add rests of hot days to attic work, by the outdoor air below."
    )
    heat_outdoor_f = models.SmallIntegerField(
        null=True, blank=True, help_text="Outdoor air of the days at hand, in degrees Fahrenheit."
    )

    class Meta:
        verbose_name_plural = "branches"
        ordering = ["name"]
        constraints = [
            coordinates_check("branch_coordinates"),
            models.CheckConstraint(
                condition=Q(road_factor__gte=1) & Q(road_factor__lte=3),
                name="branch_road_factor",
                violation_error_message=_("Road factor: expected 1 to 3."),
            ),
            models.CheckConstraint(
                condition=Q(ready_threshold__gte=0) & Q(ready_threshold__lte=1),
                name="branch_ready_threshold",
                violation_error_message=_("Ready threshold: expected 0 to 1."),
            ),
            models.CheckConstraint(
                condition=Q(day_minutes__gte=F("min_part_minutes")),
                name="branch_day_minutes",
                violation_error_message=_("A day must hold at least the shortest part."),
            ),
            models.CheckConstraint(
                condition=Q(meal_minutes__lte=120, meal_latest_minutes__range=(60, 720)),
                name="branch_meal",
                violation_error_message=_(
                    "Meal: expected 0 to 120 minutes, 60 to 720 minutes into the day at the latest."
                ),
            ),
            models.CheckConstraint(
                condition=Q(window_before_minutes__lte=240, window_after_minutes__range=(30, 480)),
                name="branch_window",
                violation_error_message=_(
                    "Arrival window: expected 0 to 240 minutes before and 30 to 480 after."
                ),
            ),
            models.CheckConstraint(
                condition=Q(code_edition__isnull=True, climate_zone__isnull=True)
                | Q(
                    code_edition__isnull=False,
                    code_edition__in=CodeEdition.values,
                    climate_zone__isnull=False,
                    climate_zone__range=(1, 8),
                ),
                name="branch_code",
                violation_error_message=_(
                    "Give both the code's edition and the climate zone (1 to 8), or neither."
                ),
            ),
            models.CheckConstraint(
                condition=Q(heat_on=False, heat_outdoor_f__isnull=True)
                | Q(heat_outdoor_f__isnull=False, heat_outdoor_f__range=(-60, 140)),
                name="branch_heat",
                violation_error_message=_(
                    "Heat needs the outdoor air in degrees Fahrenheit, -60 to 140."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class PlanCosts(models.Model):
    """What time, distance, lateness and change cost a branch; all in whole cents."""

    branch = models.OneToOneField(Branch, on_delete=models.CASCADE, related_name="costs")
    labour_cents_per_hour = models.PositiveIntegerField(
        default=3800, help_text="What one hour of one person costs us, taxes and insurance in."
    )
    people_per_crew = models.PositiveSmallIntegerField(
        default=2, help_text="How many people a usual crew has; prices an hour of driving."
    )
    truck_cents_per_mile = models.PositiveIntegerField(
        default=95, help_text="What a mile of the truck costs us: fuel, tires, wear."
    )
    overtime_premium_percent = models.PositiveIntegerField(
        default=50, help_text="What an hour of overtime costs beyond a usual hour, in percent."
    )
    crew_day_cents = models.PositiveIntegerField(
        default=2500, help_text="What it costs to send a crew out at all on a day."
    )
    late_cents_per_day = models.PositiveIntegerField(
        default=15000, help_text="What a working day past the promised date costs us."
    )
    wait_cents_per_day = models.PositiveIntegerField(
        default=400, help_text="What it is worth to us to be finished a day sooner."
    )
    unplaced_cents = models.PositiveIntegerField(
        default=120000, help_text="What it costs to leave a step off the plan."
    )
    handoff_cents = models.PositiveIntegerField(
        default=4000, help_text="What it costs when another crew takes over in a house."
    )
    change_day_cents = models.PositiveIntegerField(
        default=6000, help_text="What it costs to move a posted step to another day."
    )
    change_crew_cents = models.PositiveIntegerField(
        default=2500, help_text="What it costs to give a posted step to another crew."
    )

    class Meta:
        verbose_name_plural = "plan costs"

    def __str__(self) -> str:
        return f"Costs of {self.branch}"


class Holiday(models.Model):
    """A day on which the whole branch is closed."""

    branch = models.ForeignKey(Branch, on_delete=models.CASCADE, related_name="holidays")
    date = models.DateField()
    name = models.CharField(max_length=80)

    class Meta:
        ordering = ["date"]
        constraints = [
            models.UniqueConstraint(fields=["branch", "date"], name="holiday_once_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.date} {self.name}"


class DriveTime(models.Model):
    """Measured minutes between two places of a branch, which override the computed ones.

    A place is named as the planner names it: `yard` or `site-<id>`.
    """

    branch = models.ForeignKey(Branch, on_delete=models.CASCADE, related_name="drive_times")
    from_place = models.CharField(max_length=40)
    to_place = models.CharField(max_length=40)
    minutes = models.PositiveIntegerField(validators=[MaxValueValidator(1440)])

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["branch", "from_place", "to_place"], name="drive_time_once_a_pair"
            ),
            models.CheckConstraint(
                condition=~Q(from_place=F("to_place")),
                name="drive_time_two_places",
                violation_error_message=_("A drive goes between two different places."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.from_place} to {self.to_place}: {self.minutes} min"


class UsualMaterial(models.Model):
    """The material that a branch uses for a kind of space when a sheet names none."""

    branch = models.ForeignKey(Branch, on_delete=models.CASCADE, related_name="usual_materials")
    space_kind = models.CharField(max_length=20)
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["branch", "space_kind"], name="usual_material_once_a_kind"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.branch}, {self.space_kind}: {self.material}"
