"""Who asks, about which branch, week and day; decides nothing else."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import cast
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django_htmx.http import HttpResponseClientRedirect

from contractor.access import Action, Scope, may, scope_of
from contractor.events import Actor
from contractor.models import Branch, User
from contractor.workdays import IsoWeek, parse_iso_week
from scheduling.turned_away.queries import with_unseen
from scheduling.weeks.queries.week import branches_visible
from scheduling.weeks.services.refusals import NotThere, PlanAgain, PlanRefused, WeekChanged


class IsoWeekConverter:
    """A week in an address, as ISO 8601 writes it: `2027-W09`."""

    regex = "[0-9]{4}-W[0-9]{2}"

    def to_python(self, value: str) -> IsoWeek:
        """Raise ValueError, which means `not there`, for a week that the year does not have."""
        return parse_iso_week(value)

    def to_url(self, value: IsoWeek | str) -> str:
        """Return the week as it stands in the address."""
        return str(value)


@dataclass(frozen=True)
class Asked:
    """Who asks, when, and about which branch."""

    person: User
    branch: Branch
    branches: tuple[Branch, ...]
    now: datetime

    @property
    def today(self) -> date:
        """The day that the branch's own clock shows."""
        return self.local(self.now).date()

    @property
    def actor(self) -> Actor:
        """The person as the record of changes names them."""
        return Actor.of_user(self.person)

    @property
    def may_plan(self) -> bool:
        """Whether the person may change the plan."""
        return may(self.person, Action.PLAN_WEEK)

    def local(self, moment: datetime) -> datetime:
        """Return a moment by the branch's own clock."""
        return moment.astimezone(ZoneInfo(self.branch.time_zone))


def scope_asked(request: HttpRequest) -> Scope:
    """Return how far the person sees who asks."""
    return scope_of(request.user)


def branches_seen(request: HttpRequest) -> tuple[Branch, ...]:
    """Return the branches that the person sees, by name.

    What the menu says of crews turned away is read along, so that it costs these pages nothing.
    """
    branches = tuple(with_unseen(branches_visible(scope_asked(request))).order_by("name"))
    request.turned_away_unseen = sum(branch.unseen for branch in branches)  # type: ignore[attr-defined]
    return branches


def asked(request: HttpRequest) -> Asked:
    """Return who asks about which branch: the one in the address, else the person's, else a first.

    404 when the person sees no such branch.
    """
    person = cast(User, request.user)
    branches = branches_seen(request)
    wanted = request.GET.get("branch") or str(person.branch_id or "")
    for branch in branches:
        if wanted in ("", str(branch.pk)):
            if branch.pk == person.branch_id:
                person.branch = branch  # the frame names it; it is read already
            return Asked(person, branch, branches, timezone.now())
    raise Http404


def asked_about(request: HttpRequest, branch: Branch) -> Asked:
    """Return who asks, about a branch that was found through the person's scope."""
    person = cast(User, request.user)
    return Asked(person, branch, (branch,), timezone.now())


def week_address(week: IsoWeek | str, branch: Branch, **query: object) -> str:
    """Return the permalink of a week; empty filters are left out of it."""
    filters = {"branch": branch.pk, **query}
    text = urlencode({name: value for name, value in filters.items() if value})
    return f"{reverse('week-at', args=[week])}?{text}"


def week_back(request: HttpRequest, week: IsoWeek) -> str:
    """Return the week page that a change was asked from, with its filters."""
    query = request.GET.urlencode()
    return reverse("week-at", args=[week]) + (f"?{query}" if query else "")


def go_to(request: HttpRequest, address: str) -> HttpResponse:
    """Send the browser on after a change, whether a form or a script asked for it."""
    if request.headers.get("HX-Request"):
        return HttpResponseClientRedirect(address)
    return redirect(address)


def refusal_words(refused: PlanRefused, ask: Asked) -> str:
    """Return why a change was refused, times by the branch's own clock."""
    if isinstance(refused, WeekChanged) and refused.who and refused.at:
        return _("%(who)s changed week %(week)s on %(when)s, after you had opened it.") % {
            "who": refused.who,
            "week": parse_iso_week(refused.label).week,
            "when": date_format(ask.local(refused.at), "D M j, g:i A"),
        }
    return refused.sentence


def refusal_status(refused: PlanRefused) -> int:
    """Return 409 when the week or the proposal is another by now, 404 when the thing is gone."""
    if isinstance(refused, WeekChanged | PlanAgain):
        return 409
    return 404 if isinstance(refused, NotThere) else 422
