"""From a mail's link to the plan of the rest of that day, wherever it has come; decides nothing."""

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from contractor.access import Action, require
from scheduling.turned_away.queries import turned_away_visible
from scheduling.weeks.views.where import scope_asked


@require(Action.SEE_WEEK)
@require_safe
def turned_away_plan(request: HttpRequest, fact_id: UUID) -> HttpResponse:
    """Go on to the plan that was asked for; to that day's crews where there is none yet."""
    row = turned_away_visible(scope_asked(request), fact_id)
    if row is None:
        raise Http404
    if row.run_id is not None:
        return redirect("run", row.run_id)
    messages.info(request, row.no_plan or _("A plan for the rest of the day is not asked for yet."))
    return redirect(f"{reverse('today')}?branch={row.branch_id}&day={row.day.isoformat()}")
