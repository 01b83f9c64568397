"""The API of a yard's day as it goes; scoped like the page, computes nothing of its own."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.http import Http404
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from contractor.access import Action, scope_of
from contractor.models import Phone
from jobs.localtime import local_date
from scheduling.models import TurnedAway
from scheduling.progress import StepProgress, StopProgress, StopState, Window
from scheduling.progress.lateness import CrewPlace, Due
from scheduling.progress.todo import Need, Proposal, Todo
from scheduling.today.forms import day_read
from scheduling.today.queries.today import CrewToday, Today, proposal_of, today_page
from scheduling.weeks.queries.week import branches_visible


class WindowSerializer(serializers.Serializer[Window]):
    """From when to when a crew is told to arrive."""

    from_at = serializers.DateTimeField()
    to_at = serializers.DateTimeField()


class StepTodaySerializer(serializers.Serializer[StepProgress]):
    """A step: as planned for the day and as it was said."""

    step = serializers.CharField(source="kind")
    planned_minutes = serializers.IntegerField(source="planned.minutes", default=None)
    planned_bags = serializers.FloatField(source="planned.bags", default=None, allow_null=True)
    started_at = serializers.DateTimeField(allow_null=True)
    finished_at = serializers.DateTimeField(source="finished.at", default=None, allow_null=True)
    minutes = serializers.SerializerMethodField()
    bags = serializers.SerializerMethodField()

    def get_minutes(self, step: StepProgress) -> int | None:
        """Return the crew's minutes as they count."""
        return step.finished.what.get("minutes") if step.finished else None

    def get_bags(self, step: StepProgress) -> int | None:
        """Return the bags as they count."""
        return step.finished.what.get("bags") if step.finished else None


class AwaySerializer(serializers.Serializer[TurnedAway]):
    """A crew turned away, and what the office did about it."""

    fact = serializers.UUIDField(source="fact_id")
    at = serializers.DateTimeField(source="fact.happened_at")
    why = serializers.SerializerMethodField()
    missing = serializers.SerializerMethodField()
    run = serializers.IntegerField(source="run_id", allow_null=True)
    proposal = serializers.SerializerMethodField()
    no_plan = serializers.CharField()
    seen_at = serializers.DateTimeField(allow_null=True)
    seen_who = serializers.CharField()

    def get_why(self, row: TurnedAway) -> str:
        """Return the crew's words."""
        return str(row.fact.what.get("why", ""))

    def get_missing(self, row: TurnedAway) -> list[int]:
        """Return the conditions that were not true."""
        return list(row.fact.what.get("missing", ()))

    def get_proposal(self, row: TurnedAway) -> Proposal:
        """Tell how far the plan of the rest of the day has come."""
        return proposal_of(row)


class StopTodaySerializer(serializers.Serializer[dict[str, Any]]):
    """A visit as it goes; one that the posted day does not hold has no planned arrival."""

    job = serializers.IntegerField()
    house = serializers.CharField()
    is_on_plan = serializers.BooleanField()
    progress = serializers.ChoiceField(choices=[(one.value, one.value) for one in StopState])
    planned_at = serializers.DateTimeField(allow_null=True)
    arrive_at = serializers.DateTimeField(allow_null=True)
    is_arrival_said = serializers.BooleanField()
    late_minutes = serializers.IntegerField(allow_null=True)
    window = WindowSerializer(allow_null=True)
    breaks_window = serializers.BooleanField()
    steps = StepTodaySerializer(many=True)
    turned_away = AwaySerializer(many=True)


class DueSerializer(serializers.Serializer[Due]):
    """What a crew should have said and did not."""

    action = serializers.CharField()
    job = serializers.IntegerField()
    step = serializers.CharField(allow_blank=True)
    at = serializers.DateTimeField()


class PhoneTodaySerializer(serializers.Serializer[Phone]):
    """What a phone said at its last report that it still keeps."""

    id = serializers.IntegerField(source="pk")
    person = serializers.CharField(source="person.first_name")
    unsent = serializers.IntegerField()
    unsent_photos = serializers.IntegerField()
    reported_at = serializers.DateTimeField(allow_null=True)
    heard_at = serializers.DateTimeField(source="last_seen_at")


class CrewTodaySerializer(serializers.Serializer[dict[str, Any]]):
    """A crew's day: where it is by what it said last, and each stop."""

    id = serializers.IntegerField()
    crew = serializers.CharField()
    place = serializers.ChoiceField(choices=[(one.value, one.value) for one in CrewPlace])
    job = serializers.IntegerField(allow_null=True)
    since = serializers.DateTimeField(allow_null=True)
    heard_at = serializers.DateTimeField(allow_null=True)
    overdue = DueSerializer(allow_null=True)
    back_at = serializers.DateTimeField()
    planned_back_at = serializers.DateTimeField()
    phones = PhoneTodaySerializer(many=True)
    stops = StopTodaySerializer(many=True)


class TodoSerializer(serializers.Serializer[Todo]):
    """One thing to do about a crew; the list is in order of urgency."""

    need = serializers.ChoiceField(choices=[(one.value, one.value) for one in Need])
    crew = serializers.IntegerField()
    job = serializers.IntegerField(allow_null=True)
    at = serializers.DateTimeField()
    fact = serializers.CharField(allow_blank=True)
    step = serializers.CharField(allow_blank=True)
    figure = serializers.CharField(allow_blank=True)
    phone = serializers.IntegerField(allow_null=True)
    minutes = serializers.IntegerField()
    arrive_at = serializers.DateTimeField(allow_null=True)


class TodaySerializer(serializers.Serializer[dict[str, Any]]):
    """A yard's day as it goes."""

    branch = serializers.CharField()
    day = serializers.DateField()
    as_of = serializers.DateTimeField()
    todo = TodoSerializer(many=True)
    crews = CrewTodaySerializer(many=True)


class TodayView(APIView):
    """A day of a yard as it goes."""

    action_needed = Action.SEE_WEEK

    @extend_schema(
        parameters=[
            OpenApiParameter("branch", int, description="The yard; else the caller's."),
            OpenApiParameter("day", str, description="2027-03-01; else the yard's today."),
        ],
        responses=TodaySerializer,
    )
    def get(self, request: Request) -> Response:
        """Return where each crew is, what is late, and what to do next."""
        scope = scope_of(request.user)
        own = getattr(request.user, "branch_id", None)
        wanted = request.query_params.get("branch") or str(own or "")
        branches = branches_visible(scope).order_by("name")
        branch = next((one for one in branches if wanted in ("", str(one.pk))), None)
        if branch is None:
            raise Http404
        now, text = timezone.now(), request.query_params.get("day", "")
        day = day_read(text) if text else local_date(branch, now)
        if day is None:
            raise ValidationError({"day": ["Expected a day such as 2027-03-01."]})
        page = today_page(scope=scope, branch=branch, day=day, now=now)
        return Response(TodaySerializer(_told(page)).data)


def _told(page: Today) -> dict[str, Any]:
    return {
        "branch": page.branch.name,
        "day": page.day,
        "as_of": page.now,
        "todo": page.todos,
        "crews": [_crew(crew, page) for crew in page.crews],
    }


def _crew(crew: CrewToday, page: Today) -> dict[str, Any]:
    stand = crew.stand
    return {
        "id": crew.crew.pk,
        "crew": crew.crew.name,
        "place": stand.place,
        "job": stand.job,
        "since": stand.since,
        "heard_at": crew.heard_at,
        "overdue": crew.due,
        "back_at": crew.now.expected.ends_at,
        "planned_back_at": crew.page.times.ends_at,
        "phones": crew.phones,
        "stops": list(_stops(crew, page)),
    }


def _stops(crew: CrewToday, page: Today) -> Iterable[Mapping[str, Any]]:
    for stop in (*crew.progress.stops, *crew.progress.others):
        yield _stop(stop, crew, page)


def _stop(stop: StopProgress, crew: CrewToday, page: Today) -> dict[str, Any]:
    arrival = crew.arrivals.get(stop.job)
    return {
        "job": stop.job,
        "house": str(page.jobs[stop.job]),
        "is_on_plan": stop.planned is not None,
        "progress": stop.state,
        "planned_at": arrival.planned_at if arrival else None,
        "arrive_at": arrival.arrive_at if arrival else stop.arrived_at,
        "is_arrival_said": stop.arrived_at is not None,
        "late_minutes": arrival.late_minutes if arrival else None,
        "window": arrival.window if arrival else None,
        "breaks_window": arrival.breaks_window if arrival else False,
        "steps": stop.steps,
        "turned_away": [row for row in crew.aways if row.fact.job_id == stop.job],
    }
