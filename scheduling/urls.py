"""Addresses of the pages of `scheduling`."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
