"""Calls somebody to a run: a Celery worker where there is a broker, else a process of our own.

A ring that gets lost costs time and no run: `runs_ring_again` rings anew.
"""

import logging
import os
import subprocess
import sys
import threading
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import quote

from celery.exceptions import OperationalError as CeleryError
from django.conf import settings
from django.db import connection, transaction
from django.db.models import Q
from kombu.exceptions import OperationalError as BrokerError
from redis.exceptions import RedisError

from contractor.celery import app
from scheduling.models import PlanningRun
from scheduling.runs.lease import runs_settle

RING_AGAIN = timedelta(seconds=5)
# A page waits for the ring: a broker that is not there must say so soon.
QUICK = {
    **settings.CELERY_BROKER_TRANSPORT_OPTIONS,
    "socket_connect_timeout": 2,
    "max_retries": 1,
    "interval_start": 0,
    "interval_step": 0,
}
# Pages go first on a machine that also solves.
NICENESS = 10
MANAGE = Path(settings.BASE_DIR) / "manage.py"
log = logging.getLogger(__name__)


def doorbell(run_id: int) -> None:
    """Ring for a run once the change that asks for it is in the database."""
    transaction.on_commit(partial(ring, run_id), robust=True)


def runs_ring_again(*, now: datetime) -> None:
    """Ring for runs that nobody has taken for 5 s or whose worker is gone; end hopeless ones.

    Cheap where nothing waits: one query. Two callers at once ring once.
    """
    unattended = PlanningRun.objects.unattended(now)
    waiting = list(unattended.values_list("pk", "rung_at", "attempt", "wish"))
    if any(attempt >= PlanningRun.MAX_ATTEMPTS or wish for _, _, attempt, wish in waiting):
        runs_settle(now=now)
    long_ago = Q(rung_at=None) | Q(rung_at__lte=now - RING_AGAIN)
    for run_id, _, _, _ in waiting:
        if PlanningRun.objects.claimable(now).filter(long_ago, pk=run_id).update(rung_at=now):
            doorbell(run_id)


def ring(run_id: int) -> None:
    """Ring now. A broker that does not answer is left to the sweep."""
    if not settings.REDIS_URL:
        worker_start()
        return
    try:
        with app.connection_for_write(settings.REDIS_URL, transport_options=QUICK) as broker:
            app.send_task(
                "scheduling.tasks.run_execute",
                [run_id],
                queue="solve",
                retry=False,
                retry_policy={"max_retries": 0},
                connection=broker,
            )
    except (CeleryError, BrokerError, RedisError, OSError) as error:
        log.warning("no ring for run %s, the sweep will ring again: %s", run_id, error)


def worker_start() -> None:
    """Start a worker process that outlives this one and leaves when nothing waits any more."""
    if connection.vendor == "sqlite" and connection.is_in_memory_db():  # type: ignore[attr-defined]
        log.warning("a database in memory cannot be reached by a worker: no ring")
        return
    with log_file().open("ab") as out:
        worker = subprocess.Popen(
            [sys.executable, str(MANAGE), "work_runs", "--drain", "--nice", str(NICENESS)],
            stdin=subprocess.DEVNULL,
            stdout=out,
            stderr=out,
            env=child_environment(),
            cwd=MANAGE.parent,
            start_new_session=True,
        )
    # Whoever started it takes note of its end, or it would stay in the process table.
    threading.Thread(target=worker.wait, daemon=True).start()


def log_file() -> Path:
    """Return where workers and solvers write what they have to say."""
    return Path(settings.DATA_DIR) / "logs" / "runs.log"


def child_environment() -> dict[str, str]:
    """Return the environment of a child that works on the same database as this process."""
    return {**os.environ, "DATABASE_URL": database_url(connection.settings_dict)}


def database_url(database: dict[str, Any]) -> str:
    """Return the address of a configured database as DATABASE_URL writes it."""
    name = str(database["NAME"])
    if database.get("ENGINE", "").endswith("sqlite3"):
        return f"sqlite:///{name}"
    user, password = (quote(str(database[key]), safe="") for key in ("USER", "PASSWORD"))
    login = f"{user}:{password}@" if password else f"{user}@" if user else ""
    port = f":{database['PORT']}" if database["PORT"] else ""
    return f"postgres://{login}{database['HOST']}{port}/{quote(name)}"
