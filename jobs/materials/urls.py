"""Addresses of the pages of materials."""

from django.urls import path, re_path

from jobs.materials import views

urlpatterns = [
    path("materials/", views.materials_page, name="materials"),
    path("materials/<int:material_id>/", views.material_page, name="material"),
    re_path(
        r"^materials/(?P<material_id>[0-9]+)/(?P<table>chart|cavity|batts)/$",
        views.table_post,
        name="material-table",
    ),
    re_path(
        r"^materials/(?P<material_id>[0-9]+)/(?P<table>chart|cavity|batts)/sheet/$",
        views.sheet_post,
        name="material-sheet",
    ),
]
