"""What is pressed on the Today page: a crew seen turned away, a time told; decides nothing."""

from datetime import date
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from contractor.access import Action, require
from contractor.models import Branch
from jobs.models import Job
from scheduling.arrivals.services import TellingResult, WindowRefused, window_rung, window_tell
from scheduling.progress import Window
from scheduling.today.forms import WindowForm
from scheduling.turned_away.queries import turned_away_visible
from scheduling.turned_away.services import turned_away_see
from scheduling.weeks.views.where import Asked, asked_about, scope_asked


@require(Action.PLAN_WEEK)
@require_POST
def turned_away_seen(request: HttpRequest, fact_id: UUID) -> HttpResponse:
    """Note that somebody deals with a crew that was turned away."""
    row = turned_away_visible(scope_asked(request), fact_id)
    if row is None:
        raise Http404
    ask = asked_about(request, row.branch)
    row = turned_away_see(turned_away=row, actor=ask.actor, now=ask.now)
    messages.success(request, _("Marked as seen by %(who)s.") % {"who": row.seen_who})
    return _back(row.branch, row.day, f"#away-{fact_id}")


@require(Action.PLAN_WEEK)
@require_POST
def today_window(request: HttpRequest) -> HttpResponse:
    """Tell a house when its crew arrives, by mail or as somebody told it on the telephone."""
    form = WindowForm(request.POST)
    form.is_valid()
    jobs = Job.objects.visible_to(scope_asked(request)).select_related("site__branch")
    job = get_object_or_404(jobs, pk=form.cleaned_data.get("job"))
    ask = asked_about(request, job.site.branch)
    if form.errors:
        unclear = _("The form did not say which time was to be told. Nothing was changed.")
        messages.error(request, unclear)
        return _back(ask.branch, ask.today)
    try:
        messages.success(request, _tell(ask, job, form))
    except WindowRefused as refused:
        messages.error(request, str(refused))
    return _back(ask.branch, form.cleaned_data["day"])


def _tell(ask: Asked, job: Job, form: WindowForm) -> str:
    """Tell it, and say who was told."""
    said = form.cleaned_data
    window, rung = Window(said["from_at"], said["to_at"]), said["rung"]
    if not rung:
        told = window_tell(
            job_id=job.pk, day=said["day"], window=window, actor=ask.actor, now=ask.now
        )
        return _told_words(told)
    row = window_rung(
        job_id=job.pk, day=said["day"], window=window, to=rung, actor=ask.actor, now=ask.now
    )
    return _("Written down: %(name)s knows it.") % {"name": row.to_name}


def _told_words(told: TellingResult) -> str:
    """Tell who was written to, and who is still to be rung."""
    names = ", ".join(row.to_name for row in told.told)
    mailed = _("Mailed to %(names)s.") % {"names": names} if names else _("No mail was needed.")
    ring = _("Ring %(name)s, %(phone)s.")
    to_ring = [ring % {"name": one.name, "phone": one.phone or "–"} for one in told.to_ring]
    return " ".join([mailed, *to_ring])


def _back(branch: Branch, day: date, anchor: str = "") -> HttpResponse:
    query = urlencode([("branch", str(branch.pk)), ("day", day.isoformat())])
    return redirect(f"{reverse('today')}?{query}{anchor}")
