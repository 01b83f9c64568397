"""Crews with their members and skills, blowing machines and days off; knows no job."""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from contractor.models.branch import Branch
from contractor.models.fields import positive_check


class Skill(models.TextChoices):
    """What a member can lead; each kind of step needs one of these."""

    AIR_SEAL = "air_seal", "air sealing"
    BAFFLES = "baffles", "baffles and net"
    BATT = "batt", "batts"
    BLOW = "blow", "blowing"


class Crew(models.Model):
    """People who go out in one truck."""

    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="crews")
    name = models.CharField(max_length=60)
    pace = models.DecimalField(
        max_digits=4,
        decimal_places=2,
        default=Decimal("1.00"),
        help_text="1.00 is the usual time; 0.90 takes a tenth less.",
    )
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["branch", "name"]
        constraints = [
            models.UniqueConstraint(fields=["branch", "name"], name="crew_name_in_branch"),
            models.CheckConstraint(
                condition=Q(pace__gte=Decimal("0.3")) & Q(pace__lte=3),
                name="crew_pace",
                violation_error_message=_("Pace: expected 0.30 to 3.00."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class CrewMember(models.Model):
    """A person of a crew; a lead who uses the phone has a user."""

    crew = models.ForeignKey(Crew, on_delete=models.PROTECT, related_name="members")
    name = models.CharField(max_length=80)
    phone = models.CharField(max_length=30, blank=True)
    is_lead = models.BooleanField(default=False)
    active = models.BooleanField(default=True)
    user = models.OneToOneField(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="crew_member",
    )

    class Meta:
        ordering = ["crew", "-is_lead", "name"]
        constraints = [
            models.UniqueConstraint(fields=["crew", "name"], name="crew_member_name_in_crew"),
        ]

    def __str__(self) -> str:
        return self.name


class MemberSkill(models.Model):
    """One skill of one member."""

    member = models.ForeignKey(CrewMember, on_delete=models.CASCADE, related_name="skills")
    skill = models.CharField(max_length=10, choices=Skill)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["member", "skill"], name="member_skill_once"),
        ]

    def __str__(self) -> str:
        return f"{self.member}: {self.get_skill_display()}"


class Machine(models.Model):
    """A blowing machine with what it delivers."""

    class Kind(models.TextChoices):
        BLOWER = "blower", "blowing machine"

    branch = models.ForeignKey(Branch, on_delete=models.PROTECT, related_name="machines")
    name = models.CharField(max_length=60)
    kind = models.CharField(max_length=20, choices=Kind, default=Kind.BLOWER)
    open_lb_per_hour = models.PositiveIntegerField(default=1200)
    dense_lb_per_hour = models.PositiveIntegerField(default=420)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["branch", "name"]
        constraints = [
            models.UniqueConstraint(fields=["branch", "name"], name="machine_name_in_branch"),
            positive_check("open_lb_per_hour", "machine_open_rate"),
            positive_check("dense_lb_per_hour", "machine_dense_rate"),
        ]

    def __str__(self) -> str:
        return self.name


class DayOff(models.Model):
    """Days on which one crew, one member or one machine is not there, both ends counted."""

    crew = models.ForeignKey(
        Crew, on_delete=models.CASCADE, null=True, blank=True, related_name="days_off"
    )
    member = models.ForeignKey(
        CrewMember, on_delete=models.CASCADE, null=True, blank=True, related_name="days_off"
    )
    machine = models.ForeignKey(
        Machine, on_delete=models.CASCADE, null=True, blank=True, related_name="days_off"
    )
    first_date = models.DateField()
    last_date = models.DateField()
    reason = models.CharField(max_length=120, blank=True)

    class Meta:
        verbose_name_plural = "days off"
        ordering = ["first_date"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last_date__gte=F("first_date")),
                name="day_off_in_order",
                violation_error_message=_("The last day cannot be before the first."),
            ),
            models.CheckConstraint(
                condition=(
                    Q(crew__isnull=False, member__isnull=True, machine__isnull=True)
                    | Q(crew__isnull=True, member__isnull=False, machine__isnull=True)
                    | Q(crew__isnull=True, member__isnull=True, machine__isnull=False)
                ),
                name="day_off_of_one",
                violation_error_message=_("Name one: a crew, a member or a machine."),
            ),
        ]

    def __str__(self) -> str:
        who = self.crew or self.member or self.machine
        return f"{who} off {self.first_date} to {self.last_date}"
