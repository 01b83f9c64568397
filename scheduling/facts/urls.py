"""Addresses of the page that sets facts right."""

from django.urls import path

from scheduling.facts import views

urlpatterns = [
    path("facts/<uuid:fact_id>/correct/", views.fact_correction, name="fact-correct"),
]
