"""Addresses of the page of calls."""

from django.urls import path

from jobs.readiness.views import calls

urlpatterns = [path("readiness/", calls.readiness_page, name="readiness")]
