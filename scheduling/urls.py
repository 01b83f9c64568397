"""Every page of `scheduling`, room by room."""

from django.urls import include, path, register_converter

from scheduling.weeks.views.where import IsoWeekConverter

ROOMS = ("weeks", "runs", "today", "facts", "evening", "crew_days", "checklists")

register_converter(IsoWeekConverter, "isoweek")

urlpatterns = [path("", include(f"scheduling.{room}.urls")) for room in ROOMS]
