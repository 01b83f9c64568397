"""The API of facts: phones send what crews say, the office reads it; scoped like the pages."""

from typing import Any

import django_filters
from django.core.exceptions import ValidationError as Wrong
from django.db import OperationalError
from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import mixins, serializers, viewsets
from rest_framework.decorators import action
from rest_framework.exceptions import APIException, ValidationError
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from contractor.access import Action, scope_of
from contractor.events import Actor
from contractor.files.photos import picture_read
from contractor.models import User
from contractor.phones.services import phone_report
from contractor.phones.session import phone_of
from scheduling.facts.services.corrections import MOST_REASON, CorrectionStale, fact_correct
from scheduling.facts.services.facts import (
    FactRefused,
    State,
    fact_actor,
    fact_photo_keep,
    facts_take,
)
from scheduling.models import Fact, FactCorrection
from scheduling.progress.reading import MOST_DEPTHS

MOST_FACTS = 100
LARGEST = 2**31 - 1


class NotTheirs(APIException):
    """The phone keeps facts of another person than the one who is signed in."""

    status_code = 409
    default_detail = "These facts are another person's; they were not kept."


class FactQuicker(APIException):
    """Somebody corrected the same fact between the caller's reading and writing."""

    status_code = 409
    default_detail = "Somebody corrected this meanwhile: read it again."


class Busy(APIException):
    """Others hold the database for longer than a phone should wait; it will send again."""

    status_code = 503
    default_detail = "Busy. Nothing of this was lost: send it again."


class SaidSerializer(serializers.Serializer[dict[str, Any]]):
    """One fact, as the phone made it; what is wrong with one is said of that one alone."""

    id = serializers.CharField(max_length=60)
    kind = serializers.CharField(max_length=20)
    crew = serializers.IntegerField()
    day = serializers.CharField(max_length=10)
    job = serializers.IntegerField(required=False, allow_null=True)
    step = serializers.CharField(required=False, allow_blank=True, max_length=20)
    condition = serializers.IntegerField(required=False, allow_null=True)
    at = serializers.CharField(max_length=40)
    seen_version = serializers.IntegerField(required=False, allow_null=True)
    what = serializers.DictField(required=False)


@extend_schema_field(SaidSerializer)
class AnyFactField(serializers.JSONField):
    """A fact that is read by the service, not here."""


class FactsSentSerializer(serializers.Serializer[dict[str, Any]]):
    """What a phone sends: whose, what its clock shows, what it still keeps, and facts.

    The facts are read one by one by the service, so that a spoilt one never holds up the others.
    """

    person = serializers.IntegerField(min_value=1, max_value=2**63 - 1)
    now = serializers.DateTimeField()
    unsent = serializers.IntegerField(min_value=0, max_value=LARGEST, default=0)
    unsent_photos = serializers.IntegerField(min_value=0, max_value=LARGEST, default=0)
    facts = serializers.ListField(child=AnyFactField(), max_length=MOST_FACTS)


class RefusedSerializer(serializers.Serializer[Any]):
    """A fact that was not kept, and why."""

    id = serializers.CharField(allow_blank=True)
    why = serializers.CharField()


class FactsKeptSerializer(serializers.Serializer[dict[str, Any]]):
    """What became of the facts: kept now or before, or refused for good."""

    kept = serializers.ListField(child=serializers.CharField())
    refused = RefusedSerializer(many=True)


class FactPhotoSerializer(serializers.Serializer[dict[str, Any]]):
    """The picture of a photo fact."""

    photo = serializers.FileField()


class FactCorrectionSerializer(serializers.ModelSerializer[FactCorrection]):
    """Figures as an office set them right, beside those that held before."""

    class Meta:
        model = FactCorrection
        fields = ["before", "after", "reason", "who", "corrected_at"]


class FiguresSerializer(serializers.Serializer[dict[str, Any]]):
    """A correction: the figures that change, and why; those left out stay.

    seen: how many corrections the caller saw; where there are more by now, nothing changes.
    """

    minutes = serializers.IntegerField(required=False)
    bags = serializers.IntegerField(required=False, allow_null=True)
    depths_in = serializers.ListField(
        child=serializers.FloatField(), max_length=MOST_DEPTHS, required=False
    )
    whole = serializers.BooleanField(required=False)
    reason = serializers.CharField(max_length=MOST_REASON)
    seen = serializers.IntegerField(required=False, min_value=0, max_value=LARGEST)


class FactSerializer(serializers.ModelSerializer[Fact]):
    """A fact as it is kept; `figures` is what it says with the office's correction over it."""

    crew = serializers.CharField(source="crew.name", read_only=True)
    step = serializers.CharField(source="step_kind", read_only=True)
    figures = serializers.DictField(read_only=True)
    corrections = FactCorrectionSerializer(many=True, read_only=True)
    photo = serializers.UUIDField(
        source="picture.photo_id", read_only=True, default=None, allow_null=True
    )

    class Meta:
        model = Fact
        fields = [
            "id",
            "kind",
            "crew",
            "day",
            "job",
            "step",
            "condition",
            "what",
            "figures",
            "corrections",
            "photo",
            "tapped_at",
            "happened_at",
            "received_at",
            "who",
            "left_out",
        ]


class FactFilter(django_filters.FilterSet):
    """Facts by day, crew, house and kind."""

    crew = django_filters.CharFilter(field_name="crew__name")
    job = django_filters.NumberFilter(max_value=2**63 - 1, min_value=1)
    kind = django_filters.ChoiceFilter(choices=Fact.Kind.choices)

    class Meta:
        model = Fact
        fields = ["day", "crew", "job", "kind"]


class FactViewSet(mixins.ListModelMixin, mixins.RetrieveModelMixin, viewsets.GenericViewSet[Fact]):
    """Facts: those of the caller's branches, or of a crew lead's own crew."""

    serializer_class = FactSerializer
    filterset_class = FactFilter
    queryset = Fact.objects.none()

    @property
    def action_needed(self) -> Action:
        """Reading is for all who see crew-days, telling for crews and their office."""
        if "corrections" in (self.action_map or {}).values():
            return Action.CORRECT_FACT
        reads = self.request.method in ("GET", "HEAD", "OPTIONS")
        return Action.SEE_CREW_DAY if reads else Action.TELL_FACT

    def get_queryset(self) -> QuerySet[Fact]:
        facts = Fact.objects.visible_to(scope_of(self.request.user))
        rows = facts.select_related("crew__branch", "picture").prefetch_related("corrections")
        return rows.order_by("-received_at", "id")

    @extend_schema(request=FactsSentSerializer, responses=FactsKeptSerializer)
    def create(self, request: Request) -> Response:
        """Keep what a phone sends; sending the same again is harmless."""
        sent = FactsSentSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        told = sent.validated_data
        if told["person"] != request.user.pk:
            raise NotTheirs
        assert isinstance(request.user, User)  # noqa: S101
        phone, now = phone_of(request), timezone.now()
        try:
            taken = facts_take(
                person=request.user,
                phone=phone,
                facts=told["facts"],
                sent_at=told["now"],
                now=now,
            )
        except OperationalError as busy:
            raise Busy from busy
        if phone is not None:
            left = {name: told[name] for name in ("unsent", "unsent_photos")}
            phone_report(phone=phone, **left, now=now)
        kept = [one.id for one in taken if one.state != State.REFUSED]
        refused = [one for one in taken if one.state == State.REFUSED]
        return Response(FactsKeptSerializer({"kept": kept, "refused": refused}).data)

    @extend_schema(
        request={"multipart/form-data": FactPhotoSerializer}, responses=FactsKeptSerializer
    )
    @action(detail=True, methods=["put"], parser_classes=[MultiPartParser])
    def photo(self, request: Request, pk: str) -> Response:
        """Keep the picture of a photo fact, made anew; sending it again is harmless."""
        fact = self.get_object()
        sent = FactPhotoSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        assert isinstance(request.user, User)  # noqa: S101
        actor = fact_actor(request.user)
        try:
            picture = picture_read(sent.validated_data["photo"])
            fact_photo_keep(fact=fact, picture=picture, actor=actor, now=timezone.now())
        except Wrong as wrong:
            raise ValidationError({"photo": wrong.messages}) from wrong
        except FactRefused as refused:
            raise ValidationError({"photo": [str(refused)]}) from refused
        return Response(FactsKeptSerializer({"kept": [str(fact.pk)], "refused": []}).data)

    @extend_schema(request=FiguresSerializer, responses={201: FactCorrectionSerializer})
    @action(detail=True, methods=["post"], filterset_class=None)
    def corrections(self, request: Request, pk: str) -> Response:
        """Set figures of a finished step right; what was said is kept beside them."""
        fact = self.get_object()
        sent = FiguresSerializer(data=request.data)
        sent.is_valid(raise_exception=True)
        told = dict(sent.validated_data)
        assert isinstance(request.user, User)  # noqa: S101
        try:
            correction = fact_correct(
                fact=fact,
                reason=told.pop("reason"),
                seen=told.pop("seen", None),
                figures=told,
                actor=Actor.of_user(request.user),
                now=timezone.now(),
            )
        except Wrong as wrong:
            raise ValidationError({"figures": wrong.messages}) from wrong
        except CorrectionStale as stale:
            raise FactQuicker from stale
        return Response(FactCorrectionSerializer(correction).data, status=201)
