"""The read-only API of weeks and crew-days; scoped like the pages."""

import django_filters
from django.db.models import Prefetch, QuerySet
from rest_framework import serializers, viewsets

from contractor.access import Action, scope_of
from scheduling.models import CrewDay, Part, Stop, Week, WeekVersion


class PartSerializer(serializers.ModelSerializer[Part]):
    """The minutes worked at a stop on one step."""

    kind = serializers.CharField(source="step.kind", read_only=True)

    class Meta:
        model = Part
        fields = ["step", "kind", "minutes"]


class StopSerializer(serializers.ModelSerializer[Stop]):
    """A visit to one job, in driving order."""

    parts = PartSerializer(many=True, read_only=True)

    class Meta:
        model = Stop
        fields = ["job", "position", "parts"]


class CrewDaySerializer(serializers.ModelSerializer[CrewDay]):
    """Everything that one crew does on one day, in one version of the week."""

    crew = serializers.CharField(source="crew.name", read_only=True)
    week = serializers.CharField(source="version.week.label", read_only=True)
    state = serializers.CharField(source="version.state", read_only=True)
    machines = serializers.SlugRelatedField[CrewDay](slug_field="name", many=True, read_only=True)
    stops = StopSerializer(many=True, read_only=True)

    class Meta:
        model = CrewDay
        fields = ["id", "week", "state", "crew", "date", "machines", "stops"]


class CrewDayFilter(django_filters.FilterSet):
    """Crew-days by crew, date and state of their week."""

    crew = django_filters.CharFilter(field_name="crew__name")
    state = django_filters.ChoiceFilter(
        field_name="version__state", choices=WeekVersion.State.choices
    )

    class Meta:
        model = CrewDay
        fields = ["crew", "date", "state"]


class CrewDayViewSet(viewsets.ReadOnlyModelViewSet[CrewDay]):
    """Crew-days: all of the caller's branches, or the posted ones of a crew lead's own crew."""

    action_needed = Action.SEE_CREW_DAY
    serializer_class = CrewDaySerializer
    filterset_class = CrewDayFilter
    queryset = CrewDay.objects.none()

    def get_queryset(self) -> QuerySet[CrewDay]:
        parts = Prefetch("stops__parts", Part.objects.select_related("step"))
        return (
            CrewDay.objects.visible_to(scope_of(self.request.user))
            .select_related("crew", "version__week")
            .prefetch_related("machines", "stops", parts)
            .order_by("id")
        )


class WeekSerializer(serializers.ModelSerializer[Week]):
    """A week with its versions."""

    class VersionSerializer(serializers.ModelSerializer[WeekVersion]):
        """A draft, posted or replaced version."""

        class Meta:
            model = WeekVersion
            fields = ["id", "state", "created_at", "posted_at"]

    branch = serializers.CharField(source="branch.name", read_only=True)
    week = serializers.CharField(source="label", read_only=True)
    versions = VersionSerializer(many=True, read_only=True)

    class Meta:
        model = Week
        fields = ["id", "branch", "week", "revision", "versions"]


class WeekViewSet(viewsets.ReadOnlyModelViewSet[Week]):
    """Weeks of the branches that the caller sees."""

    action_needed = Action.SEE_WEEK
    serializer_class = WeekSerializer
    filterset_fields = ["iso_year", "iso_week"]
    queryset = Week.objects.none()

    def get_queryset(self) -> QuerySet[Week]:
        return (
            Week.objects.visible_to(scope_of(self.request.user))
            .select_related("branch")
            .prefetch_related("versions")
            .order_by("id")
        )
