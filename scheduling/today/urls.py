"""Addresses of the Today page."""

from django.urls import path

from scheduling.today.views import change, today

urlpatterns = [
    path("today/", today.today, name="today"),
    path("today/window/", change.today_window, name="today-window"),
    path(
        "today/turned-away/<uuid:fact_id>/seen/",
        change.turned_away_seen,
        name="turned-away-seen",
    ),
]
