"""Addresses of the pages of weeks."""

from django.urls import path

from scheduling.weeks.views import moves, week

urlpatterns = [
    path("week/", week.week_now, name="week"),
    path("week/<isoweek:week>/", week.week_show, name="week-at"),
    path("week/<isoweek:week>/post/", week.week_send, name="week-post"),
    path("week/<isoweek:week>/discard/", week.week_discard, name="week-discard"),
    path("week/<isoweek:week>/stop/<int:stop_id>/", week.stop_show, name="stop"),
    path("week/<isoweek:week>/stop/<int:stop_id>/move/", moves.stop_move_by_hand, name="stop-move"),
    path(
        "week/<isoweek:week>/stop/<int:stop_id>/take-off/",
        moves.stop_take_off_by_hand,
        name="stop-take-off",
    ),
    path("week/<isoweek:week>/job/<int:job_id>/place/", moves.job_place_by_hand, name="job-place"),
]
