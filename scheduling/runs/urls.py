"""Addresses of the pages of planning runs."""

from django.urls import path

from scheduling.runs.views import runs, turned_away

urlpatterns = [
    path("week/<isoweek:week>/plan/", runs.week_plan, name="week-plan"),
    path("runs/rest-of-today/", runs.rest_plan, name="rest-plan"),
    path("runs/<int:run_id>/", runs.run_show, name="run"),
    path("runs/<int:run_id>/stop/", runs.run_stop_now, name="run-stop"),
    path("runs/<int:run_id>/cancel/", runs.run_cancel_now, name="run-cancel"),
    path("runs/<int:run_id>/accept/", runs.run_accept_now, name="run-accept"),
    path("runs/<int:run_id>/throw-away/", runs.run_throw_away_now, name="run-throw-away"),
    path(
        "turned-away/<uuid:fact_id>/plan/",
        turned_away.turned_away_plan,
        name="turned-away-plan",
    ),
]
