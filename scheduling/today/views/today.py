"""The office's page of a day as it goes: where each crew is, what is late, what to do next."""

from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from contractor.access import Action, require
from scheduling.today.forms import day_read
from scheduling.today.queries.mark import today_mark
from scheduling.today.queries.today import Today, today_page
from scheduling.today.views.acts import Acts
from scheduling.today.views.page import Shower, places
from scheduling.today.views.todo import TodoTeller
from scheduling.today.views.words import Clock, head_words, place_words
from scheduling.turned_away.queries import unseen_elsewhere
from scheduling.weeks.views.where import Asked, asked, branches_seen, scope_asked

LOOK_SECONDS = 25


@require(Action.SEE_WEEK)
@require_safe
def today(request: HttpRequest) -> HttpResponse:
    """Show a day of a yard as it goes; asked again by script, only what has changed."""
    if not branches_seen(request):
        return render(request, "scheduling/weeks/week_none.html")
    ask = asked(request)
    text = request.GET.get("day", "")
    day = day_read(text) if text else ask.today
    if day is None:
        return _refused(request, ask, text)
    with timezone.override(ZoneInfo(ask.branch.time_zone)):
        return _answer(request, ask, day)


def _refused(request: HttpRequest, ask: Asked, text: str) -> HttpResponse:
    problem = _("day: “%(text)s” is no day; expected one such as 2027-03-01.")
    context = {"problems": [problem % {"text": text[:40]}], "ask": ask, "address": reverse("today")}
    return render(request, "scheduling/today/today_wrong.html", context, status=422)


def _answer(request: HttpRequest, ask: Asked, day: date) -> HttpResponse:
    mark = today_mark(branch=ask.branch, day=day, now=ask.now)
    context: dict[str, Any] = {"ask": ask, "day": day, "mark": mark}
    is_asked_again = bool(request.headers.get("HX-Request"))
    if is_asked_again and request.GET.get("seen") == mark:
        answer = render(
            request, "scheduling/today/today_looked.html", context | {"out_of_band": True}
        )
        answer.headers["HX-Reswap"] = "none"
    else:
        page = today_page(scope=scope_asked(request), branch=ask.branch, day=day, now=ask.now)
        template = "today_parts" if is_asked_again else "today"
        context |= _context(ask, page) | {"out_of_band": is_asked_again}
        answer = render(request, f"scheduling/today/{template}.html", context)
    answer.headers["Cache-Control"] = "private, no-store"
    return answer


def _context(ask: Asked, page: Today) -> dict[str, Any]:
    clock = Clock(page.day)
    behind = unseen_elsewhere(page.branch, page.day) if ask.may_plan else []
    shower, acts = Shower(page, clock), Acts(page, clock) if ask.may_plan else None
    return {
        "page": page,
        "words": head_words(),
        "todos": TodoTeller(page, clock, acts).presenters(),
        "crews": shower.crews(),
        "strays": shower.strays(),
        "left_behind": [(row, address(ask, row.day)) for row in behind],
        "places": [(place_words(place, number), place) for place, number in places(page)],
        "starts": clock.at(page.crews[0].page.times.starts_at) if page.crews else "",
        "before": address(ask, page.day - timedelta(days=1)),
        "after": address(ask, page.day + timedelta(days=1)),
        "now_address": address(ask, None),
        "again": address(ask, page.day),
        "look_seconds": LOOK_SECONDS,
    }


def address(ask: Asked, day: date | None) -> str:
    """Return the permalink of a yard's day; without a day, of whatever day it is there."""
    query = {"branch": ask.branch.pk} | ({"day": day.isoformat()} if day else {})
    return f"{reverse('today')}?{urlencode(query)}"
