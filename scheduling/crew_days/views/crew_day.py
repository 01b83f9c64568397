"""The crew's phone page: posted days, stop by stop, and what the crew says; decides nothing."""

from datetime import date, datetime
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from contractor.access import Action, may, require, scope_of
from jobs.desk.who import person, today_of
from jobs.houses.cautions import LAST_WORD
from scheduling.crew_days.queries.crew_days import crew_days_of
from scheduling.crew_days.queries.days import DayStatus, day_status
from scheduling.crew_days.views.form_answer import FormAnswer, fact_say, form_answer
from scheduling.crew_days.views.page import phone_day_of
from scheduling.crew_days.views.phone_data import kept_on_phone, phone_day, phone_frame
from scheduling.crew_days.views.phone_words import phone_words
from scheduling.facts.forms.fact import FormWrong
from scheduling.facts.services.facts import FactRefused
from scheduling.templatetags.facts import Refused, form_key

BAD_INPUT = 400
CONFLICT = 409
FORMS = {"turned_away": "away", "photo": "photo", "note": "note"}


@require(Action.SEE_CREW_DAY)
@require_safe
@kept_on_phone
def crew_days(request: HttpRequest) -> HttpResponse:
    """List the posted days to come: a lead's own, an office's crews'."""
    today = today_of(person(request), timezone.now())
    lines = crew_days_of(scope=scope_of(request.user), today=today)
    context = {"lines": lines, "today": today, "phone": phone_frame(request)}
    return render(request, "scheduling/crew_days/crew_days.html", context)


@require(Action.SEE_CREW_DAY)
@require_http_methods(["GET", "HEAD", "POST"])
@kept_on_phone
def crew_day(request: HttpRequest, crew_id: int, day: str) -> HttpResponse:
    """Show one crew's posted day and take what the crew says of it."""
    now = timezone.now()
    status = _status_or_404(request, crew_id, day)
    if request.method != "POST":
        return _shown(request, status, now)
    if not may(request.user, Action.TELL_FACT):
        raise Http404
    return _take(request, status, now)


def _status_or_404(request: HttpRequest, crew_id: int, day: str) -> DayStatus:
    try:
        asked = date.fromisoformat(day)
    except ValueError as error:
        raise Http404 from error
    status = day_status(scope=scope_of(request.user), crew_id=crew_id, day=asked)
    if status is None:
        raise Http404
    return status


def _take(request: HttpRequest, day: DayStatus, now: datetime) -> HttpResponse:
    said = form_answer(request.POST, day)
    try:
        left_out = fact_say(request, said, day, now)
    except FormWrong as wrong:
        return _refused(request, day, now, said=said, sentences=wrong.sentences, status=BAD_INPUT)
    except FactRefused as refused:
        return _refused(request, day, now, said=said, sentences=[str(refused)], status=CONFLICT)
    if left_out:
        messages.warning(request, left_out)
    else:
        messages.success(request, _("Said. The office sees it."))
    address = reverse("crew-day", args=[day.page.crew.pk, day.page.date.isoformat()])
    return redirect(f"{address}#{anchor_of(said)}")


def anchor_of(said: FormAnswer) -> str:
    """Return where on the page it was said."""
    if said.kind == "checked":
        return f"condition-{said.condition}"
    if said.step:
        return f"step-{said.job}-{said.step}"
    return f"stop-{said.job}" if said.job else "day-note"


def form_anchor_of(said: FormAnswer) -> str:
    """Return where the form stands that was refused."""
    if said.kind == "finished":
        return f"finish-{said.job}-{said.step}"
    if said.kind in FORMS and said.job is not None:
        return f"{FORMS[said.kind]}-{said.job}"
    return anchor_of(said)


def _refused(
    request: HttpRequest,
    day: DayStatus,
    now: datetime,
    *,
    said: FormAnswer,
    sentences: list[str],
    status: int,
) -> HttpResponse:
    """Show the page as now, with the reasons beside the form and what was typed kept in it."""
    refused = Refused(form_key(request.POST), request.POST, tuple(sentences))
    more = {
        "refused": refused,
        "problems": sentences,
        "refused_job": "" if said.job is None else str(said.job),
        "refused_at": form_anchor_of(said),
    }
    return _shown(request, day, now, status=status, **more)


def _shown(
    request: HttpRequest, day: DayStatus, now: datetime, *, status: int = 200, **more: Any
) -> HttpResponse:
    user = person(request)
    if user.branch_id == day.page.branch.pk:
        user.branch = day.page.branch  # the frame names it, and it is read already
    context = {
        "page": day.page,
        "shown": phone_day_of(day, user, now),
        "may_tell": may(user, Action.TELL_FACT),
        "last_word": LAST_WORD,
        "phone": phone_frame(request),
        "phone_day": phone_day(day),
        "csrf_cookie": settings.CSRF_COOKIE_NAME,
        "done_words": phone_words()["done"],
        **more,
    }
    return render(request, "scheduling/crew_days/crew_day.html", context, status=status)
