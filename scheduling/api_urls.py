"""Addresses of the API of `scheduling`."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
