"""Materials with their coverage charts; knows no branch and no job."""

from django.db import models
from django.db.models import F, Q

from contractor.models.fields import positive_check


class Material(models.Model):
    """Something that crews install: loose fill by the bag, batts by the package."""

    class Kind(models.TextChoices):
        LOOSE_FILL = "loose_fill", "loose fill"
        BATT = "batt", "batt"

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
    chart_source = models.CharField(
        max_length=200, blank=True, help_text="Where the chart comes from: label, edition, date."
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            positive_check("bag_lb", "material_bag_lb"),
            positive_check("package_ft2", "material_package_ft2"),
            positive_check("open_lb_per_ft3", "material_open_density"),
            positive_check("dense_lb_per_ft3", "material_dense_density"),
            models.CheckConstraint(
                condition=~Q(kind="loose_fill") | Q(bag_lb__isnull=False),
                name="material_loose_fill_has_bag",
                violation_error_message="Loose fill needs the weight of a bag in pounds.",
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
    bags_per_1000_ft2 = models.DecimalField(max_digits=7, decimal_places=2)

    class Meta:
        ordering = ["r"]
        constraints = [
            models.UniqueConstraint(fields=["material", "r"], name="chart_row_once_an_r"),
            positive_check("r", "chart_row_r"),
            positive_check("settled_in", "chart_row_settled"),
            models.CheckConstraint(
                condition=Q(initial_in__gte=F("settled_in")),
                name="chart_row_settles",
                violation_error_message="Initial thickness cannot be under settled thickness.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material} R-{self.r}"
