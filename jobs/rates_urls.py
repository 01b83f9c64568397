"""Addresses of the pages of rates, materials and actuals."""

from django.urls import path, re_path

from jobs.views import actuals, materials, rates

urlpatterns = [
    path("rates/", rates.rates_show, name="rates"),
    path("rates/learn/", rates.learn_post, name="rates-learn"),
    path("rates/pin/", rates.pin_post, name="rate-pin"),
    path("rates/unpin/", rates.unpin_post, name="rate-unpin"),
    path("rates/yard/", rates.yard_post, name="rates-yard"),
    path("materials/", materials.materials_page, name="materials"),
    path("materials/<int:material_id>/", materials.material_page, name="material"),
    re_path(
        r"^materials/(?P<material_id>[0-9]+)/(?P<table>chart|cavity|batts)/$",
        materials.table_post,
        name="material-table",
    ),
    re_path(
        r"^materials/(?P<material_id>[0-9]+)/(?P<table>chart|cavity|batts)/sheet/$",
        materials.sheet_post,
        name="material-sheet",
    ),
    path("jobs/<int:job_id>/steps/<int:step_id>/actual/", actuals.actual_page, name="step-actual"),
]
