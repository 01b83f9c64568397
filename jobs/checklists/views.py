"""The office's page of checklist links: make one and show it this once, see them, close them."""

from dataclasses import dataclass

import segno
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from contractor.access import Action, require, scope_of
from contractor.events import Actor
from contractor.models import Branch
from contractor.public import public_address
from jobs.checklists.link_code import code_text
from jobs.checklists.queries import links_alive, superintendents_served
from jobs.checklists.services.code import checklist_code_make
from jobs.checklists.services.link import checklist_link_make, checklist_link_revoke
from jobs.desk.who import person
from jobs.models import Job, Superintendent

LINK_DAYS = 60


@dataclass(frozen=True)
class Served:
    """A superintendent with open houses of one branch, and the value that names both in a form."""

    superintendent: Superintendent
    branch: Branch

    @property
    def value(self) -> str:
        """As it stands in the form: `12-3`."""
        return f"{self.superintendent.pk}-{self.branch.pk}"


@require(Action.SEND_CHECKLIST)
@require_safe
def links_page(request: HttpRequest) -> HttpResponse:
    """Show the links that still open, and for whom one can be made."""
    scope = scope_of(request.user)
    context = {
        "links": links_alive(scope, timezone.now()),
        "served": _served(request),
        "several_branches": scope.all_branches,
    }
    return render(request, "jobs/checklists/links.html", context)


@require(Action.SEND_CHECKLIST)
@require_POST
@never_cache
def link_make(request: HttpRequest) -> HttpResponse:
    """Make a link for a superintendent's houses with a branch and show it this once."""
    asked = request.POST.get("for", "")
    found = next((served for served in _served(request) if served.value == asked), None)
    if found is None:
        messages.error(request, _("Choose a superintendent with an open house of your yard."))
        return redirect("checklist-links")
    return link_page(request, found.superintendent, found.branch)


@require(Action.SEND_CHECKLIST)
@require_POST
def link_revoke(request: HttpRequest, link_id: int) -> HttpResponse:
    """Close a link with its codes and all that they opened."""
    links = links_alive(scope_of(request.user), timezone.now())
    link = get_object_or_404(links, pk=link_id)
    checklist_link_revoke(link_id=link.pk, actor=Actor.of_user(person(request)), now=timezone.now())
    messages.success(request, _("The link is closed. What hangs on site opens nothing any more."))
    return redirect("checklist-links")


def link_page(
    request: HttpRequest, superintendent: Superintendent, branch: Branch, job: Job | None = None
) -> HttpResponse:
    """Make a link and a code, and show both this once; `job` is where the office comes from."""
    actor, now = Actor.of_user(person(request)), timezone.now()
    link, secret = checklist_link_make(
        superintendent=superintendent, branch=branch, actor=actor, now=now, days=LINK_DAYS
    )
    made, code = checklist_code_make(link=link, actor=actor, now=now)
    address = public_address(request) + reverse("checklist", args=[secret])
    context = {
        "job": job,
        "link": link,
        "secret": secret,
        "address": address,
        "qr": segno.make(address, error="m").svg_data_uri(scale=5, border=4),
        "code": code_text(code),
        "code_until": made.expires_at,
        "code_at": public_address(request) + reverse("checklist-code"),
    }
    return render(request, "jobs/houses/job_link.html", context)


def _served(request: HttpRequest) -> list[Served]:
    return [Served(*pair) for pair in superintendents_served(scope_of(request.user))]
