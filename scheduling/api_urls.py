"""Addresses of the API of `scheduling`."""

from django.urls import path
from rest_framework.routers import SimpleRouter

from scheduling.evening.api import EveningView
from scheduling.facts.api import FactViewSet
from scheduling.today.api import TodayView
from scheduling.weeks.api import CrewDayViewSet, WeekViewSet

router = SimpleRouter(trailing_slash=False)
router.register("weeks", WeekViewSet, basename="api-week")
router.register("crew-days", CrewDayViewSet, basename="api-crew-day")
router.register("facts", FactViewSet, basename="api-fact")

urlpatterns = [
    path("evening", EveningView.as_view(), name="api-evening"),
    path("today", TodayView.as_view(), name="api-today"),
    *router.urls,
]
