"""Addresses of the pages of the catalogue of conditions, and of a job's own list."""

from django.urls import path, re_path

from jobs.views import by_hand, catalogue, catalogue_sheet

urlpatterns = [
    path("catalogue/", catalogue.catalogue_page, name="catalogue"),
    re_path(
        r"^catalogue/catalogue\.(?P<form>csv|xlsx)$",
        catalogue_sheet.catalogue_sheet,
        name="catalogue-sheet",
    ),
    path("catalogue/import/", catalogue_sheet.catalogue_import_post, name="catalogue-import"),
    path("catalogue/new/", catalogue.catalogue_new, name="catalogue-new"),
    path("catalogue/<int:item_id>/", catalogue.catalogue_item, name="catalogue-item"),
    path(
        "catalogue/<int:item_id>/change/",
        catalogue.catalogue_change_post,
        name="catalogue-change",
    ),
    path(
        "catalogue/<int:item_id>/retire/",
        catalogue.catalogue_retire_post,
        name="catalogue-retire",
    ),
    path("jobs/<int:job_id>/conditions/add/", by_hand.add_post, name="condition-add"),
    path(
        "jobs/<int:job_id>/conditions/<int:condition_id>/strike/",
        by_hand.strike_post,
        name="condition-strike",
    ),
]
