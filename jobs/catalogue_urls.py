"""Addresses of the pages of the catalogue of conditions, and of a job's own list."""

from django.urls import path

from jobs.views import by_hand, catalogue

urlpatterns = [
    path("catalogue/", catalogue.catalogue_page, name="catalogue"),
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
