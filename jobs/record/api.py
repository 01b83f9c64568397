"""The API of builders' records and of what crews found; scoped like the pages."""

from typing import Any

from django.core.exceptions import ValidationError as Wrong
from django.db.models import QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field
from rest_framework import mixins, serializers, viewsets
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from contractor.access import Action, scope_of
from contractor.events import Actor
from jobs.conditions.record import evidence, report_evidence
from jobs.conditions.states import MoveRefused
from jobs.desk.api import LARGEST, Conflict
from jobs.models import Finding, Job
from jobs.record.queries import BuilderRecord, builder_record, builders_visible
from jobs.record.services.finding import finding_record

MOST_MISSING = 200
# More digits than any number of a builder; more still would not even be read as one.
MOST_DIGITS = 18


class FindingSerializer(serializers.ModelSerializer[Finding]):
    """What a crew found on a visit, with the chance that was stated for that morning."""

    step_kinds = serializers.ListField(child=serializers.CharField())
    missing = serializers.ListField(child=serializers.CharField())

    class Meta:
        model = Finding
        fields = [
            "id", "job", "day", "could_start", "stated", "step_kinds", "missing", "note",
            "recorded_at", "who",
        ]  # fmt: skip


class FoundSerializer(serializers.Serializer[dict[str, Any]]):
    """A visit to write down: `missing` are numbers of conditions that were not true."""

    job = serializers.IntegerField(min_value=1, max_value=LARGEST)
    day = serializers.DateField()
    step_kinds = serializers.ListField(
        child=serializers.CharField(max_length=20), allow_empty=False, max_length=20
    )
    could_start = serializers.BooleanField()
    missing = serializers.ListField(
        child=serializers.IntegerField(min_value=1, max_value=LARGEST),
        max_length=MOST_MISSING,
        required=False,
        default=list,
    )
    note = serializers.CharField(required=False, allow_blank=True, max_length=300, default="")


class FindingViewSet(
    mixins.ListModelMixin, mixins.RetrieveModelMixin, viewsets.GenericViewSet[Finding]
):
    """What crews found at houses of the branches that the caller sees, latest first."""

    serializer_class = FindingSerializer
    filterset_fields = ["job", "could_start"]
    queryset = Finding.objects.none()

    @property
    def action_needed(self) -> Action:
        """Reading is for all who see readiness, writing down for the office."""
        return Action.MOVE_CONDITION if self.request.method == "POST" else Action.SEE_READINESS

    def get_queryset(self) -> QuerySet[Finding]:
        jobs = Job.objects.visible_to(scope_of(self.request.user))
        return Finding.objects.filter(job__in=jobs.values("pk")).order_by("-pk")

    @extend_schema(request=FoundSerializer, responses={201: FindingSerializer})
    def create(self, request: Request) -> Response:
        """Write down a visit; what was reported and not true goes back to owed."""
        found = FoundSerializer(data=request.data)
        found.is_valid(raise_exception=True)
        told = dict(found.validated_data)
        job_id = told.pop("job")
        if not Job.objects.visible_to(scope_of(request.user)).filter(pk=job_id).exists():
            raise Http404
        actor = Actor.of_user(request.user)  # type: ignore[arg-type]
        try:
            finding = finding_record(job_id=job_id, **told, actor=actor, now=timezone.now())
        except MoveRefused as refused:
            raise Conflict(str(refused)) from refused
        except Wrong as wrong:
            raise ValidationError({"finding": wrong.messages}) from wrong
        return Response(FindingSerializer(finding).data, status=201)


class BuilderRecordSerializer(serializers.Serializer[BuilderRecord]):
    """How a builder kept its dates, and the chances that follow, with their evidence.

    The lists of chances are by working days after the date, from none on.
    """

    id = serializers.IntegerField(source="builder.pk")
    name = serializers.CharField(source="builder.name")
    promise_chances = serializers.ListField(
        source="odds.promise_by", child=serializers.FloatField()
    )
    ready_date_chances = serializers.ListField(
        source="odds.ready_by", child=serializers.FloatField()
    )
    report_chance = serializers.FloatField(source="odds.report")
    promises = serializers.SerializerMethodField()
    ready_dates = serializers.SerializerMethodField()
    reports = serializers.SerializerMethodField()

    @extend_schema_field(serializers.CharField())
    def get_promises(self, record: BuilderRecord) -> str:
        """Return what the chance of a promise rests on, in words."""
        return str(evidence(record.history.promises))

    @extend_schema_field(serializers.CharField())
    def get_ready_dates(self, record: BuilderRecord) -> str:
        """Return what the chance of a house's ready date rests on, in words."""
        return str(evidence(record.history.ready_dates))

    @extend_schema_field(serializers.CharField())
    def get_reports(self, record: BuilderRecord) -> str:
        """Return what the chance of a report rests on, in words."""
        return str(report_evidence(record.history))


class BuilderRecordViewSet(viewsets.ViewSet):
    """The record of one builder with the branches that the caller sees."""

    action_needed = Action.SEE_READINESS

    @extend_schema(
        parameters=[OpenApiParameter("id", int, OpenApiParameter.PATH)],
        responses=BuilderRecordSerializer,
    )
    def retrieve(self, request: Request, pk: str) -> Response:
        """Return how the builder kept its dates."""
        scope = scope_of(request.user)
        if not (pk.isascii() and pk.isdecimal() and len(pk) <= MOST_DIGITS):
            raise Http404
        builder = get_object_or_404(builders_visible(scope), pk=pk)
        return Response(BuilderRecordSerializer(builder_record(scope, builder)).data)
