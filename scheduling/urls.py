"""Addresses of the pages of `scheduling`."""

from django.urls import URLPattern, path, register_converter

from scheduling.views import (
    checklist,
    checklist_code,
    checklist_sheet,
    crew_day,
    evening,
    fact_correct,
    moves,
    phone_worker,
    runs,
    today,
    today_change,
    turned_away,
    week,
)
from scheduling.views.where import IsoWeekConverter

register_converter(IsoWeekConverter, "isoweek")

urlpatterns: list[URLPattern] = [
    path("week/", week.week_now, name="week"),
    path("week/<isoweek:week>/", week.week_show, name="week-at"),
    path("week/<isoweek:week>/post/", week.week_send, name="week-post"),
    path("week/<isoweek:week>/discard/", week.week_discard, name="week-discard"),
    path("week/<isoweek:week>/plan/", runs.week_plan, name="week-plan"),
    path("week/<isoweek:week>/stop/<int:stop_id>/", week.stop_show, name="stop"),
    path("week/<isoweek:week>/stop/<int:stop_id>/move/", moves.stop_move_by_hand, name="stop-move"),
    path(
        "week/<isoweek:week>/stop/<int:stop_id>/take-off/",
        moves.stop_take_off_by_hand,
        name="stop-take-off",
    ),
    path("week/<isoweek:week>/job/<int:job_id>/place/", moves.job_place_by_hand, name="job-place"),
    path("runs/rest-of-today/", runs.rest_plan, name="rest-plan"),
    path("runs/<int:run_id>/", runs.run_show, name="run"),
    path("runs/<int:run_id>/stop/", runs.run_stop_now, name="run-stop"),
    path("runs/<int:run_id>/cancel/", runs.run_cancel_now, name="run-cancel"),
    path("runs/<int:run_id>/accept/", runs.run_accept_now, name="run-accept"),
    path("runs/<int:run_id>/throw-away/", runs.run_throw_away_now, name="run-throw-away"),
    path("today/", today.today, name="today"),
    path("today/window/", today_change.today_window, name="today-window"),
    path(
        "today/turned-away/<uuid:fact_id>/seen/",
        today_change.turned_away_seen,
        name="turned-away-seen",
    ),
    path(
        "turned-away/<uuid:fact_id>/plan/",
        turned_away.turned_away_plan,
        name="turned-away-plan",
    ),
    path("facts/<uuid:fact_id>/correct/", fact_correct.fact_correction, name="fact-correct"),
    path("evening/", evening.evening_page, name="evening"),
    path("crew-days/", crew_day.crew_days, name="crew-days"),
    path("crew-days/sw.js", phone_worker.worker, name="crew-days-worker"),
    path("crew-days/no-signal/", phone_worker.no_signal, name="crew-days-no-signal"),
    path("crew-days/app.webmanifest", phone_worker.manifest, name="crew-days-manifest"),
    path("crew-days/<int:crew_id>/<str:day>/", crew_day.crew_day, name="crew-day"),
    path("checklist-sheet/", checklist_sheet.checklist_sheet, name="checklist-sheet"),
    path("code/", checklist_code.checklist_code, name="checklist-code"),
    path("c/<str:secret>/", checklist.checklist, name="checklist"),
    path("c/<str:secret>/<int:job_id>/", checklist.checklist_house, name="checklist-house"),
    path(
        "c/<str:secret>/<int:job_id>/thanks/", checklist.checklist_thanks, name="checklist-thanks"
    ),
]
