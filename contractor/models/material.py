"""Materials with coverage and cavity charts and batt sizes; knows no branch and no job."""

from decimal import Decimal

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from contractor.models.fields import positive_check


class Material(models.Model):
    """Something that crews install: loose fill in bags, batts in packages, foam in cans."""

    class Kind(models.TextChoices):
        LOOSE_FILL = "loose_fill", "loose fill"
        BATT = "batt", "batt"
        FOAM_CAN = "foam_can", "foam in cans"

    key = models.SlugField(max_length=40, unique=True, help_text="The name that sheets use.")
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=12, choices=Kind)
    bag_lb = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    open_lb_per_ft3 = models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)
    dense_lb_per_ft3 = models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)
    dense_minimum_lb_per_ft3 = models.DecimalField(
        max_digits=5, decimal_places=3, null=True, blank=True
    )
    package_ft2 = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    settle = models.DecimalField(
        max_digits=4,
        decimal_places=3,
        null=True,
        blank=True,
        help_text="Share of the initial thickness that is lost, where the maker states it: 0.15.",
    )
    settled_lb_per_ft3 = models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)
    can_board_ft = models.DecimalField(
        max_digits=6, decimal_places=2, null=True, blank=True, help_text="Board-feet of one can."
    )
    chart_source = models.CharField(
        max_length=200, blank=True, help_text="Where the chart comes from: label, edition, date."
    )
    valid_from = models.DateField(
        null=True, blank=True, help_text="First day on which the chart holds; empty: always."
    )
    valid_to = models.DateField(null=True, blank=True, help_text="Last day on which it holds.")
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            positive_check("bag_lb", "material_bag_lb"),
            positive_check("package_ft2", "material_package_ft2"),
            positive_check("open_lb_per_ft3", "material_open_density"),
            positive_check("dense_lb_per_ft3", "material_dense_density"),
            positive_check("dense_minimum_lb_per_ft3", "material_dense_minimum"),
            positive_check("settled_lb_per_ft3", "material_settled_density"),
            positive_check("can_board_ft", "material_can"),
            models.CheckConstraint(
                condition=Q(settle__isnull=True) | Q(settle__gte=0, settle__lte=Decimal("0.9")),
                name="material_settle",
                violation_error_message=_("Settling: expected a share of 0 to 0.9."),
            ),
            models.CheckConstraint(
                condition=Q(valid_from__isnull=True)
                | Q(valid_to__isnull=True)
                | Q(valid_to__gte=F("valid_from")),
                name="material_valid_in_order",
                violation_error_message=_("The chart cannot end before it begins to hold."),
            ),
            models.CheckConstraint(
                condition=~Q(kind="loose_fill") | Q(bag_lb__isnull=False),
                name="material_loose_fill_has_bag",
                violation_error_message=_("Loose fill needs the weight of a bag in pounds."),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ChartRow(models.Model):
    """One line of a material's coverage chart, as on the label (16 CFR 460.12)."""

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="chart")
    r = models.DecimalField("R-value", max_digits=5, decimal_places=1)
    initial_in = models.DecimalField(max_digits=6, decimal_places=2)
    settled_in = models.DecimalField(max_digits=6, decimal_places=2)
    lb_per_ft2 = models.CharField(
        max_length=24, help_text="A number or an exact fraction such as 28/15."
    )
    bags_per_1000_ft2 = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    ft2_per_bag = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    kept_because = models.CharField(
        max_length=200, blank=True, help_text="Why a row that is at odds with itself was kept."
    )

    class Meta:
        ordering = ["r"]
        constraints = [
            models.UniqueConstraint(fields=["material", "r"], name="chart_row_once_an_r"),
            positive_check("r", "chart_row_r"),
            positive_check("settled_in", "chart_row_settled"),
            positive_check("bags_per_1000_ft2", "chart_row_bags"),
            positive_check("ft2_per_bag", "chart_row_coverage"),
            models.CheckConstraint(
                condition=Q(initial_in__gte=F("settled_in")),
                name="chart_row_settles",
                violation_error_message=_("Initial thickness cannot be under settled thickness."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material} R-{self.r}"


class CavityRow(models.Model):
    """One line of a cavity chart: the R of a filled cavity at a density of at least so much."""

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="cavity_chart")
    depth_in = models.DecimalField(max_digits=6, decimal_places=3)
    r = models.DecimalField("R-value", max_digits=5, decimal_places=1)
    lb_per_ft3 = models.DecimalField(max_digits=5, decimal_places=3)
    kept_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["lb_per_ft3", "depth_in"]
        constraints = [
            models.UniqueConstraint(
                fields=["material", "depth_in", "lb_per_ft3"], name="cavity_row_once"
            ),
            positive_check("depth_in", "cavity_row_depth"),
            positive_check("r", "cavity_row_r"),
            positive_check("lb_per_ft3", "cavity_row_density"),
        ]

    def __str__(self) -> str:
        return f"{self.material} {self.depth_in} in R-{self.r}"


class BattSize(models.Model):
    """One size in which a batt is sold, and the square feet of batt in a package."""

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="batts")
    r = models.DecimalField("R-value", max_digits=5, decimal_places=1)
    thickness_in = models.DecimalField(max_digits=6, decimal_places=3)
    width_in = models.DecimalField(max_digits=6, decimal_places=3)
    package_ft2 = models.DecimalField(max_digits=7, decimal_places=2)

    class Meta:
        ordering = ["width_in", "r"]
        constraints = [
            models.UniqueConstraint(
                fields=["material", "r", "thickness_in", "width_in"], name="batt_size_once"
            ),
            positive_check("r", "batt_size_r"),
            positive_check("thickness_in", "batt_size_thickness"),
            positive_check("width_in", "batt_size_width"),
            positive_check("package_ft2", "batt_size_package"),
        ]

    def __str__(self) -> str:
        return f"{self.material} R-{self.r}, {self.width_in} in"
