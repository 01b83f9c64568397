"""Every page of `jobs`, room by room."""

from django.urls import include, path

ROOMS = (
    "houses",
    "spaces",
    "checklists",
    "imports",
    "readiness",
    "rates",
    "materials",
    "charges",
    "catalogue",
    "record",
)

urlpatterns = [path("", include(f"jobs.{room}.urls")) for room in ROOMS]
