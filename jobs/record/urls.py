"""Addresses of the pages of builders' records and of what crews found."""

from django.urls import path

from jobs.record.views import record

urlpatterns = [
    path("builders/", record.builders_page, name="builders"),
    path("builders/<int:builder_id>/", record.builder_page, name="builder"),
    path("jobs/<int:job_id>/found/", record.finding_page, name="job-found"),
]
