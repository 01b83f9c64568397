"""Addresses of the crews' pages."""

from django.urls import path

from scheduling.crew_days.views import crew_day, phone_worker

urlpatterns = [
    path("crew-days/", crew_day.crew_days, name="crew-days"),
    path("crew-days/sw.js", phone_worker.worker, name="crew-days-worker"),
    path("crew-days/no-signal/", phone_worker.no_signal, name="crew-days-no-signal"),
    path("crew-days/app.webmanifest", phone_worker.manifest, name="crew-days-manifest"),
    path("crew-days/<int:crew_id>/<str:day>/", crew_day.crew_day, name="crew-day"),
]
