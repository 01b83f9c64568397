"""What the frame of every page needs: the person's way about; knows no page by import."""

from functools import partial
from typing import Any

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as _

from contractor.access import Action, Person, may
from contractor.ports import TURNED_AWAY_UNSEEN

# Address name, label and the action it needs, in the order of the menu.
_MENU = (
    ("week", _("Week"), Action.SEE_WEEK),
    ("today", _("Today"), Action.SEE_WEEK),
    ("job-list", _("Jobs"), Action.SEE_JOB),
    ("readiness", _("Readiness"), Action.SEE_READINESS),
    ("back-charges", _("Back-charges"), Action.MOVE_CONDITION),
    ("import", _("Import"), Action.IMPORT_JOBS),
    ("catalogue", _("Catalogue"), Action.SEE_CATALOGUE),
    ("rates", _("Rates"), Action.SEE_RATES),
    ("mail", _("Mail"), Action.SEND_CHECKLIST),
    ("phones", _("Phones"), Action.MANAGE_PHONES),
    ("crew-days", _("Crew days"), Action.SEE_CREW_DAY),
)


def page_frame(request: HttpRequest) -> dict[str, Any]:
    """Return the menu entries that the person may open, and the name of the page at hand."""
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return {"menu": ()}
    match = request.resolver_match
    return {
        "menu": [(name, gettext(label)) for name, label, action in _MENU if may(person, action)],
        "here": match.url_name if match else "",
        # Asked for only where a page shows the menu.
        "turned_away": SimpleLazyObject(partial(_turned_away, request, person)),
    }


def _turned_away(request: HttpRequest, person: Person) -> int:
    """Count crews turned away that nobody dealt with; the floor above knows, or has read it."""
    if not may(person, Action.PLAN_WEEK):
        return 0
    known: int | None = getattr(request, "turned_away_unseen", None)
    if known is None:
        known = TURNED_AWAY_UNSEEN.ask(person)
    return known
