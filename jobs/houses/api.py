"""The read-only API of jobs; scoped like the pages."""

from typing import Any

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers, viewsets

from contractor.access import Action, scope_of
from jobs.models import Condition, Job, Space, Step


class SpaceSerializer(serializers.ModelSerializer[Space]):
    """A space with its measures."""

    material = serializers.SlugRelatedField[Any](slug_field="key", read_only=True, allow_null=True)

    class Meta:
        model = Space
        fields = [
            "id", "name", "kind", "area_ft2", "bays", "length_ft", "run_ft", "pitch", "depth_in",
            "spacing_in", "vent_in", "cover", "target_r", "material", "lb_per_ft3", "board_in",
            "framing_in", "count", "note",
        ]  # fmt: skip


class StepSerializer(serializers.ModelSerializer[Step]):
    """A step with the minutes it takes and what to load for it."""

    crew_minutes = serializers.DictField(
        child=serializers.IntegerField(), help_text="Minutes by the number of people on the crew."
    )
    loads = serializers.ListField(child=serializers.DictField())

    class Meta:
        model = Step
        fields = [
            "id", "kind", "position", "crew_minutes", "person_minutes", "machine_kind", "lag_days",
            "lag_reason", "loads",
        ]  # fmt: skip


class ConditionSerializer(serializers.ModelSerializer[Condition]):
    """A pre-work condition with its state."""

    holds = serializers.ListField(child=serializers.CharField())

    class Meta:
        model = Condition
        fields = [
            "id", "code", "name", "owed_by", "gate", "holds", "state", "promised_for", "reason",
            "moved_by", "moved_at",
        ]  # fmt: skip


class JobSerializer(serializers.ModelSerializer[Job]):
    """A job with what is to be done and what must be true before."""

    builder = serializers.CharField(source="site.builder.name", read_only=True)
    branch = serializers.CharField(source="site.branch.name", read_only=True)
    site = serializers.CharField(source="site.name", read_only=True)
    address = serializers.CharField(source="site.address", read_only=True)
    gate_note = serializers.CharField(source="site.gate_note", read_only=True)
    owner_email = serializers.CharField(read_only=True, help_text="Empty where there is none.")
    spaces = SpaceSerializer(many=True, read_only=True)
    steps = StepSerializer(many=True, read_only=True)
    conditions = ConditionSerializer(many=True, read_only=True)

    class Meta:
        model = Job
        fields = [
            "id", "builder", "branch", "site", "address", "gate_note", "unit", "year_built",
            "ready_date", "promised_date", "owner_name", "owner_email", "owner_phone",
            "owner_language", "state", "version", "spaces", "steps", "conditions",
        ]  # fmt: skip


class JobFilter(django_filters.FilterSet):
    """Jobs by builder, site and state."""

    builder = django_filters.CharFilter(field_name="site__builder__name")
    site = django_filters.CharFilter(field_name="site__name")

    class Meta:
        model = Job
        fields = ["builder", "site", "state"]


class JobViewSet(viewsets.ReadOnlyModelViewSet[Job]):
    """Jobs of the branches that the caller sees."""

    action_needed = Action.SEE_JOB
    serializer_class = JobSerializer
    filterset_class = JobFilter
    queryset = Job.objects.none()

    def get_queryset(self) -> QuerySet[Job]:
        return (
            Job.objects.visible_to(scope_of(self.request.user))
            .select_related("site__builder", "site__branch")
            .prefetch_related("spaces__material", "steps", "conditions")
            .order_by("id")
        )
