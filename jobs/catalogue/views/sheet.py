"""The catalogue out to a sheet and back in; the rest is decided elsewhere."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from contractor.access import Action, require
from contractor.events import Actor
from contractor.models import Event
from jobs.catalogue.queries import catalogue_items
from jobs.catalogue.services.sheet import CatalogueSheetRefused, catalogue_import
from jobs.catalogue.views.entries import catalogue_list
from jobs.desk.forms import form_sentences
from jobs.desk.services import Stale
from jobs.desk.sheet_form import SheetForm
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT
from jobs.desk.who import person
from jobs.sheets.catalogue import NAMES, WRITERS

MOST_ERRORS_SHOWN = 200
TYPES = {
    "csv": "text/csv; charset=utf-8",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


@require(Action.SEE_CATALOGUE)
@require_safe
def catalogue_sheet(request: HttpRequest, form: str) -> HttpResponse:
    """Show the whole catalogue as `csv` or `xlsx`."""
    items = [{name: getattr(item, name) for name in NAMES} for item in catalogue_items()]
    response = HttpResponse(WRITERS[form](items), content_type=TYPES[form])
    response.headers["Content-Disposition"] = f'attachment; filename="catalogue.{form}"'
    return response


@require(Action.EDIT_CATALOGUE)
@require_POST
def catalogue_import_post(request: HttpRequest) -> HttpResponse:
    """Take a sheet of the catalogue, or show all that is wrong with it."""
    form = SheetForm(request.POST, request.FILES)
    if not form.is_valid():
        return catalogue_list(request, BAD_INPUT, problems=form_sentences(form))
    actor = Actor.of_user(person(request), Event.Source.IMPORT)
    try:
        taken = catalogue_import(content=form.content(), actor=actor, now=timezone.now())
    except CatalogueSheetRefused as refusal:
        errors = [
            {
                "row": error.row or "",
                "column": error.column,
                "value": error.value,
                "expected": error.expected.render(_),
            }
            for error in refusal.errors[:MOST_ERRORS_SHOWN]
        ]
        return catalogue_list(request, BAD_INPUT, errors=errors)
    except Stale:
        words = _("Somebody changed the catalogue at the same moment. Read the sheet once more.")
        return catalogue_list(request, CONFLICT, problems=[words])
    counts = {"new": taken.new, "changed": taken.changed, "same": taken.unchanged}
    words = _("Read. Entries: %(new)d new, %(changed)d changed, %(same)d as they were.")
    messages.success(request, words % counts)
    return redirect("catalogue")
