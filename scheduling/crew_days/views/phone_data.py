"""What the script of the crew's pages is given: the plan, the facts, addresses and every word."""

from collections.abc import Callable, Mapping
from datetime import time
from functools import wraps
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.formats import time_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contractor.access import Action, may, scope_of
from jobs.desk.who import person
from scheduling.crew_days.queries.days import DayStatus, lead_fact
from scheduling.crew_days.views.phone_words import phone_words
from scheduling.progress import DayFact, PlannedStop
from scheduling.weeks.shapes import CrewStop

View = Callable[..., HttpResponse]
# What the rule and the page's lines read of a fact; the rest stays on the server.
TOLD = ("answer", "minutes", "bags", "whole")


def kept_on_phone(view: View) -> View:
    """Name the person in the answer, for the worker that keeps pages; let nothing else store it."""

    @wraps(view)
    def wrapped(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = view(request, *args, **kwargs)
        response.headers["Cache-Control"] = "private, no-store"
        if request.user.is_authenticated:
            response.headers["X-Person"] = str(request.user.pk)
        return response

    return wrapped


def phone_frame(request: HttpRequest) -> dict[str, Any] | None:
    """Return for both pages whose phone it is, where it sends, which pages it keeps, and the words.

    None for who may say nothing. A lead's phone keeps the list, what stands on it first, and the
    page at hand; the office's keeps what is opened. Asks no database.
    """
    reader = person(request)
    if not may(reader, Action.TELL_FACT):
        return None
    is_on_site = scope_of(reader).crew_id is not None
    return {
        "person": reader.pk,
        "csrf_cookie": settings.CSRF_COOKIE_NAME,
        "facts": reverse("api-fact-list"),
        "worker": reverse("crew-days-worker"),
        "scope": reverse("crew-days"),
        "keep": [reverse("crew-days"), request.path] if is_on_site else [],
        "words": {**phone_words(), **_words()},
    }


def phone_day(status: DayStatus) -> dict[str, Any]:
    """Return for a day's page its plan and facts as the script's rule reads them."""
    page = status.page
    stops = list(zip(page.stops, status.plan.stops, strict=True))
    return {
        "crew": page.crew.pk,
        "day": page.date.isoformat(),
        "version": page.version_id,
        "zone": page.branch.time_zone,
        "plan": [_stop(number, *pair) for number, pair in enumerate(stops, start=1)],
        "step_names": {part.kind: part.name for stop in page.stops for part in stop.parts},
        "facts": [_fact(lead_fact(fact)) for fact in status.facts],
    }


def _stop(number: int, stop: CrewStop, planned: PlannedStop) -> dict[str, Any]:
    kinds = [step.kind for step in planned.steps]
    return {
        "job": planned.job,
        "name": f"{number}. {stop.title}",
        "steps": kinds,
        "checks": [{"condition": c.condition, "holds": list(c.holds)} for c in planned.checks],
        "ready": planned.ready,
    }


def _fact(said: DayFact) -> dict[str, Any]:
    return {
        "id": said.id,
        "kind": said.kind,
        "at": said.at.isoformat(),
        "job": said.job,
        "step": said.step,
        "condition": said.condition,
        "what": _told(said.what),
    }


def _told(what: Mapping[str, Any]) -> dict[str, Any]:
    return {name: what[name] for name in TOLD if name in what}


def _words() -> dict[str, Any]:
    """Return what is said of the phone itself; of two forms the first is for one thing."""
    return {
        "kept": [
            ngettext(
                "{n} kept on this phone, not sent yet", "{n} kept on this phone, not sent yet", n
            )
            for n in (1, 2)
        ],
        "leave": [
            ngettext(
                "{n} thing is kept on this phone and not sent yet.",
                "{n} things are kept on this phone and not sent yet.",
                n,
            )
            for n in (1, 2)
        ],
        "all_sent": _("All sent"),
        "drop": _("Read: take it off this list"),
        "halves": [time_format(time(9), "a"), time_format(time(21), "a")],
        "kinds": {
            "set_out": _("Setting out"),
            "arrived": _("Arriving"),
            "checked": _("Looking at a condition"),
            "started": _("Starting a step"),
            "finished": _("Finishing a step"),
            "turned_away": _("Being turned away"),
            "photo": _("Photo"),
            "note": _("Note"),
        },
    }
