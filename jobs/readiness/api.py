"""The API of calls: whom to ring and what for, and what was said; scoped like the page."""

from typing import Any

from django.core.exceptions import ValidationError as Wrong
from django.http import Http404
from django.utils import timezone
from django.utils.translation import gettext
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from contractor.access import Action, scope_of
from contractor.events import Actor
from jobs.catalogue.rows import entry_of
from jobs.conditions.states import MoveRefused
from jobs.desk.api import LARGEST, Conflict
from jobs.desk.services import Stale
from jobs.models import CallAttempt, Condition, Job
from jobs.readiness.queries.calls import Ask, Call, HouseAsks, calls_list
from jobs.readiness.services.call import CallAnswer, CallTaken, call_record
from jobs.stakes import Stake

MOST_ANSWERS = 500
ANSWERS = ("done", "on", "not_theirs")


class VisitSerializer(serializers.Serializer[Stake]):
    """A crew's visit and what it puts at risk."""

    day = serializers.DateField()
    crew = serializers.CharField()
    posted = serializers.BooleanField()
    days_left = serializers.IntegerField()
    chance = serializers.FloatField()
    turned_away_cents = serializers.IntegerField()
    at_risk_cents = serializers.IntegerField()


class AskSerializer(serializers.Serializer[Ask]):
    """One thing to ask for, with the version that an answer to it must name."""

    condition = serializers.IntegerField(source="condition.pk")
    version = serializers.IntegerField(source="condition.version")
    name = serializers.CharField(source="condition.name")
    owed_by = serializers.CharField(source="condition.owed_by")
    gate = serializers.CharField(source="condition.gate")
    state = serializers.CharField(source="condition.state")
    promised_for = serializers.DateField(source="condition.promised_for", allow_null=True)
    needed_by = serializers.DateField(allow_null=True)
    line = serializers.ChoiceField(choices=["solid", "dashed", "hatched"])
    consequence = serializers.SerializerMethodField()

    def get_consequence(self, ask: Ask) -> str:
        """Return what happens when it is missed, as the catalogue says it."""
        entry = entry_of(ask.condition)
        return entry.consequence if entry else ""


class HouseAsksSerializer(serializers.Serializer[HouseAsks]):
    """A house with what to ask for it."""

    job = serializers.IntegerField(source="job.pk")
    house = serializers.CharField(source="job.__str__")
    visits = VisitSerializer(source="stakes", many=True)
    asks = AskSerializer(many=True)


class CallSerializer(serializers.Serializer[Call]):
    """One person to ring, and everything that the call can settle."""

    superintendent = serializers.CharField(
        source="superintendent.name", default=None, allow_null=True
    )
    phone = serializers.CharField(source="superintendent.phone", default="", allow_blank=True)
    builder = serializers.CharField(source="builder.name")
    branch = serializers.CharField(source="branch.name")
    at_risk_cents = serializers.IntegerField()
    tries = serializers.IntegerField(source="last.tries", default=0)
    rest_until = serializers.DateTimeField(source="last.rest_until", default=None, allow_null=True)
    seen = serializers.IntegerField()
    houses = HouseAsksSerializer(many=True)


class CallsSerializer(serializers.Serializer[dict[str, Any]]):
    """The calls to make, in the order in which to make them."""

    calls = CallSerializer(many=True)


class AnswerSerializer(serializers.Serializer[dict[str, Any]]):
    """What was said of one thing."""

    condition = serializers.IntegerField(min_value=1, max_value=LARGEST)
    version = serializers.IntegerField(min_value=1, max_value=2**31 - 1)
    answer = serializers.ChoiceField(choices=ANSWERS)
    day = serializers.DateField(required=False, allow_null=True)
    note = serializers.CharField(required=False, allow_blank=True, max_length=200)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Demand a day for a promise, a note for what is not theirs."""
        if attrs["answer"] == "on" and not attrs.get("day"):
            raise serializers.ValidationError({"day": gettext("Say on which day.")})
        if attrs["answer"] == "not_theirs" and not attrs.get("note", "").strip():
            raise serializers.ValidationError(
                {"note": gettext("Say whose it is, or why it is not theirs.")}
            )
        return attrs


class CallMadeSerializer(serializers.Serializer[dict[str, Any]]):
    """A call that was made about a house; without answers it was in vain."""

    job = serializers.IntegerField(min_value=1, max_value=LARGEST)
    seen = serializers.IntegerField(min_value=0, max_value=2**31 - 1, default=0)
    answers = serializers.ListField(child=AnswerSerializer(), max_length=MOST_ANSWERS)

    def answers_given(self) -> list[CallAnswer]:
        """Return the answers as the services take them."""
        return [
            CallAnswer(
                one["condition"],
                one["version"],
                one["answer"],
                one.get("day") if one["answer"] == "on" else None,
                one.get("note", ""),
            )
            for one in self.validated_data["answers"]
        ]


class CallRecordedSerializer(serializers.Serializer[CallAttempt]):
    """A call as it was written down."""

    number = serializers.IntegerField()
    outcome = serializers.ChoiceField(choices=CallAttempt.Outcome.choices)
    tries = serializers.IntegerField()
    rest_until = serializers.DateTimeField(allow_null=True)


def call_made(request: Request, record: Any) -> Any:
    """Write down the call that was posted; `record` is `call_record` or a service that calls it.

    Raises Http404 where a house or thing is not the caller's, 400 and 409 as the page does.
    """
    made = CallMadeSerializer(data=request.data)
    made.is_valid(raise_exception=True)
    jobs = Job.objects.open().visible_to(scope_of(request.user)).select_related("site__branch")
    job = jobs.filter(pk=made.validated_data["job"]).first()
    asked = {one.condition_id for one in made.answers_given()}
    mine = Condition.objects.filter(pk__in=asked, job__in=jobs.values("pk"))
    if job is None or mine.count() != len(asked):
        raise Http404
    try:
        return record(
            superintendent_id=job.site.superintendent_id,
            branch=job.site.branch,
            answers=made.answers_given(),
            seen=made.validated_data["seen"],
            actor=Actor.of_user(request.user),  # type: ignore[arg-type]
            now=timezone.now(),
        )
    except (CallTaken, Stale, MoveRefused) as refused:
        raise Conflict(str(refused)) from refused
    except Wrong as wrong:
        raise ValidationError({"answers": wrong.messages}) from wrong


class CallsView(APIView):
    """The calls to make, and one that was made."""

    @property
    def action_needed(self) -> Action:
        """Reading is for all who see readiness, answering for the office."""
        return Action.MOVE_CONDITION if self.request.method == "POST" else Action.SEE_READINESS

    @extend_schema(responses=CallsSerializer)
    def get(self, request: Request) -> Response:
        """Return the calls to make, those that put most at risk for each day left first."""
        calls = calls_list(scope_of(request.user), now=timezone.now())
        return Response(CallsSerializer({"calls": calls}).data)

    @extend_schema(request=CallMadeSerializer, responses=CallRecordedSerializer)
    def post(self, request: Request) -> Response:
        """Write down a call about the houses of one superintendent, all its answers or none."""
        call = call_made(request, call_record)
        if call is None:
            return Response({"number": 0, "outcome": "answered", "tries": 0, "rest_until": None})
        return Response(CallRecordedSerializer(call).data)
