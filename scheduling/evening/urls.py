"""Addresses of the page of the evening before."""

from django.urls import path

from scheduling.evening.views import evening

urlpatterns = [
    path("evening/", evening.evening_page, name="evening"),
]
