"""The API of the evening before: what tomorrow hangs on, and what answers make of it."""

from typing import Any

from django.http import Http404
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from contractor.access import Action, scope_of
from jobs.readiness.api import AskSerializer, CallMadeSerializer, VisitSerializer, call_made
from scheduling.evening.queries import Evening, EveningDay, EveningStop, evening_confirmation
from scheduling.evening.services import DayRepriced, evening_answer
from scheduling.weeks.queries.week import branches_visible


class EveningStopSerializer(serializers.Serializer[EveningStop]):
    """A house of tomorrow with what it hangs on."""

    job = serializers.IntegerField(source="job.pk")
    house = serializers.CharField(source="job.__str__")
    visit = VisitSerializer(source="stake", allow_null=True)
    asks = AskSerializer(many=True)
    seen = serializers.IntegerField(source="last_call.number", default=0)


class EveningDaySerializer(serializers.Serializer[EveningDay]):
    """A crew's tomorrow."""

    crew_day = serializers.IntegerField(source="crew_day.pk")
    crew = serializers.CharField(source="crew_day.crew.name")
    state = serializers.CharField(source="crew_day.version.state")
    chance = serializers.FloatField()
    at_risk_cents = serializers.IntegerField()
    is_under_threshold = serializers.BooleanField()
    stops = EveningStopSerializer(many=True)


class EveningSerializer(serializers.Serializer[Evening]):
    """The next working day of a yard, crew by crew."""

    branch = serializers.CharField(source="branch.name")
    day = serializers.DateField()
    is_time = serializers.BooleanField()
    at_risk_cents = serializers.IntegerField()
    crew_days = EveningDaySerializer(many=True)


class RepricedSerializer(serializers.Serializer[DayRepriced]):
    """What answers made of a crew-day, each figure before and after."""

    crew_day = serializers.IntegerField(source="crew_day.pk")
    crew = serializers.CharField(source="crew_day.crew.name")
    cents = serializers.ListField(child=serializers.IntegerField(), min_length=2, max_length=2)
    chance = serializers.ListField(child=serializers.FloatField(), min_length=2, max_length=2)
    is_under_threshold = serializers.BooleanField()


class EveningAnsweredSerializer(serializers.Serializer[dict[str, Any]]):
    """The crew-days that a call changed."""

    repriced = RepricedSerializer(many=True)


class EveningView(APIView):
    """What tomorrow hangs on, and a call about it."""

    @property
    def action_needed(self) -> Action:
        """Reading is for all who see readiness, answering for the office."""
        return Action.MOVE_CONDITION if self.request.method == "POST" else Action.SEE_READINESS

    @extend_schema(
        parameters=[OpenApiParameter("branch", int, description="The yard; else the caller's.")],
        responses=EveningSerializer,
    )
    def get(self, request: Request) -> Response:
        """Return what the crews of the yard's next working day hang on."""
        branches = branches_visible(scope_of(request.user)).order_by("name")
        own = getattr(request.user, "branch_id", None)
        wanted = request.query_params.get("branch") or str(own or "")
        branch = next((one for one in branches if wanted in ("", str(one.pk))), None)
        if branch is None:
            raise Http404
        evening = evening_confirmation(branch=branch, now=timezone.now())
        return Response(EveningSerializer(evening).data)

    @extend_schema(request=CallMadeSerializer, responses=EveningAnsweredSerializer)
    def post(self, request: Request) -> Response:
        """Write down a call; return what it made of tomorrow's crew-days, before and after."""
        repriced = call_made(request, evening_answer)
        return Response(EveningAnsweredSerializer({"repriced": repriced}).data)
