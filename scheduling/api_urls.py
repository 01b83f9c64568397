"""Addresses of the API of `scheduling`."""

from django.urls import path
from rest_framework.routers import SimpleRouter

from scheduling.api import CrewDayViewSet, WeekViewSet
from scheduling.api_evening import EveningView
from scheduling.api_facts import FactViewSet
from scheduling.api_today import TodayView

router = SimpleRouter(trailing_slash=False)
router.register("weeks", WeekViewSet, basename="api-week")
router.register("crew-days", CrewDayViewSet, basename="api-crew-day")
router.register("facts", FactViewSet, basename="api-fact")

urlpatterns = [
    path("evening", EveningView.as_view(), name="api-evening"),
    path("today", TodayView.as_view(), name="api-today"),
    *router.urls,
]
