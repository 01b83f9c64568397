"""The read-only API of back-charges; scoped like their page."""

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers, viewsets

from contractor.access import Action, scope_of
from jobs.models import BackCharge


class BackChargeSerializer(serializers.ModelSerializer[BackCharge]):
    """One line, in whole cents."""

    builder = serializers.CharField(source="builder.name", read_only=True)
    condition = serializers.CharField(source="condition.code", read_only=True)
    loads = serializers.ListField(child=serializers.DictField())

    class Meta:
        model = BackCharge
        fields = [
            "id", "builder", "job", "condition", "step_kind", "measure", "amount", "flues",
            "length_ft", "person_minutes", "loads", "cents_per_hour", "cents", "agreed_by", "note",
            "inspect_again", "taken_by", "taken_at", "taken_on", "struck_at", "struck_by",
            "struck_reason",
        ]  # fmt: skip


class BackChargeFilter(django_filters.FilterSet):
    """Back-charges by builder, by day, and whether they were struck."""

    builder = django_filters.CharFilter(field_name="builder__name")
    taken_from = django_filters.DateFilter(field_name="taken_on", lookup_expr="gte")
    taken_to = django_filters.DateFilter(field_name="taken_on", lookup_expr="lte")
    struck = django_filters.BooleanFilter(
        field_name="struck_at", lookup_expr="isnull", exclude=True
    )

    class Meta:
        model = BackCharge
        fields = ["builder", "job", "taken_from", "taken_to", "struck"]


class BackChargeViewSet(viewsets.ReadOnlyModelViewSet[BackCharge]):
    """Back-charges of the branches that the caller sees."""

    action_needed = Action.MOVE_CONDITION
    serializer_class = BackChargeSerializer
    filterset_class = BackChargeFilter
    queryset = BackCharge.objects.none()

    def get_queryset(self) -> QuerySet[BackCharge]:
        charges = BackCharge.objects.visible_to(scope_of(self.request.user))
        return charges.select_related("builder", "condition").order_by("id")
