"""Addresses of the pages that take a sheet of jobs."""

from django.urls import path, re_path

from jobs.imports import views

urlpatterns = [
    path("import/", views.import_page, name="import"),
    path("import/<uuid:upload_id>/", views.preview_page, name="import-preview"),
    re_path(r"^import/blank\.(?P<form>csv|xlsx)$", views.blank_sheet, name="import-blank"),
]
