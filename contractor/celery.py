"""The Celery application: queues and the beat's timetable; it knows no task by import."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contractor.settings")

app = Celery("baywright")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
app.conf.task_routes = {"scheduling.tasks.run_execute": {"queue": "solve"}}
app.conf.beat_schedule = {
    "sweep planning runs": {"task": "scheduling.tasks.runs_sweep", "schedule": 5.0},
    # Whoever waits longer than that for a worker is overtaken by the next.
    "send mail": {
        "task": "scheduling.tasks.mail_send",
        "schedule": 20.0,
        "options": {"expires": 20.0},
    },
    "let appointments lapse": {
        "task": "scheduling.tasks.conditions_lapse",
        "schedule": 600.0,
        "options": {"expires": 600.0},
    },
}
