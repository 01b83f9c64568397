"""Addresses of the pages on which spaces are measured."""

from django.urls import path

from jobs.spaces.views import space

urlpatterns = [
    path("jobs/<int:job_id>/spaces/new/", space.space_new, name="space-new"),
    path("jobs/<int:job_id>/spaces/look/", space.space_look, name="space-look"),
    path("jobs/<int:job_id>/spaces/<int:space_id>/", space.space_change, name="space"),
    path(
        "jobs/<int:job_id>/spaces/<int:space_id>/remove/",
        space.space_take_off,
        name="space-remove",
    ),
]
