"""Addresses of the pages of the catalogue of conditions."""

from django.urls import path, re_path

from jobs.catalogue.views import entries, sheet

urlpatterns = [
    path("catalogue/", entries.catalogue_page, name="catalogue"),
    re_path(
        r"^catalogue/catalogue\.(?P<form>csv|xlsx)$", sheet.catalogue_sheet, name="catalogue-sheet"
    ),
    path("catalogue/import/", sheet.catalogue_import_post, name="catalogue-import"),
    path("catalogue/new/", entries.catalogue_new, name="catalogue-new"),
    path("catalogue/<int:item_id>/", entries.catalogue_item, name="catalogue-item"),
    path("catalogue/<int:item_id>/change/", entries.catalogue_change_post, name="catalogue-change"),
    path("catalogue/<int:item_id>/retire/", entries.catalogue_retire_post, name="catalogue-retire"),
]
