"""Addresses of the pages of rates and actuals."""

from django.urls import path

from jobs.rates.views import actuals, rates

urlpatterns = [
    path("rates/", rates.rates_show, name="rates"),
    path("rates/learn/", rates.learn_post, name="rates-learn"),
    path("rates/pin/", rates.pin_post, name="rate-pin"),
    path("rates/unpin/", rates.unpin_post, name="rate-unpin"),
    path("rates/yard/", rates.yard_post, name="rates-yard"),
    path("jobs/<int:job_id>/steps/<int:step_id>/actual/", actuals.actual_page, name="step-actual"),
]
