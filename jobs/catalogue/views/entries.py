"""Pages of the catalogue of conditions: the list, one entry, and what is posted there."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from contractor.access import Action, may, require
from contractor.events import Actor
from jobs.catalogue.forms import HOUSE_WORDS, CatalogueItemForm
from jobs.catalogue.queries import catalogue_items
from jobs.catalogue.services.entries import (
    catalogue_add,
    catalogue_change,
    catalogue_restore,
    catalogue_retire,
)
from jobs.conditions.guard import is_guarded
from jobs.conditions.words import GATE_NAMES, PARTY_NAMES, SPACE_KINDS
from jobs.desk.forms import form_sentences
from jobs.desk.services import Stale
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT
from jobs.desk.who import person
from jobs.models import CatalogueItem, Space


@dataclass(frozen=True)
class CatalogueFilters:
    """What of the catalogue is asked for; what makes no sense is left out."""

    text: str = ""
    gate: str = ""
    owed_by: str = ""
    space: str = ""
    houses: str = ""
    retired: bool = False

    @classmethod
    def read(cls, query: Mapping[str, str]) -> "CatalogueFilters":
        """Return the filters that a query string names."""
        return cls(
            text=query.get("q", "").replace("\x00", "").strip()[:80],
            gate=_one_of(query.get("gate", ""), GATE_NAMES),
            owed_by=_one_of(query.get("owed_by", ""), PARTY_NAMES),
            space=_one_of(query.get("space", ""), SPACE_KINDS),
            houses=_one_of(query.get("houses", ""), ("new", "old")),
            retired=query.get("retired") == "1",
        )

    @property
    def query(self) -> str:
        """The filters as a query string."""
        named = {
            "q": self.text,
            "gate": self.gate,
            "owed_by": self.owed_by,
            "space": self.space,
            "houses": self.houses,
            "retired": "1" if self.retired else "",
        }
        return urlencode({name: value for name, value in named.items() if value})

    def keeps(self, item: CatalogueItem) -> bool:
        """Tell whether the item is asked for."""
        words = f"{item.name} {item.consequence} {item.source} {item.code}".casefold()
        return (
            (self.retired or not item.retired)
            and self.gate in ("", item.gate)
            and self.owed_by in ("", item.owed_by)
            and (not self.space or not item.spaces or self.space in item.spaces)
            and (not self.houses or item.houses in ("both", self.houses))
            and self.text.casefold() in words
        )


@require(Action.SEE_CATALOGUE)
@require_safe
def catalogue_page(request: HttpRequest) -> HttpResponse:
    """Show the whole catalogue by gate, or what of it is asked for."""
    return catalogue_list(request)


@require(Action.EDIT_CATALOGUE)
@require_http_methods(["GET", "HEAD", "POST"])
def catalogue_new(request: HttpRequest) -> HttpResponse:
    """Show an empty form for an entry of the contractor's own; take it where it is all right."""
    item = CatalogueItem(version=0, gate="block", owed_by="builder")
    if request.method != "POST":
        return _entry(request, item, CatalogueItemForm(item=item))
    form = CatalogueItemForm(request.POST, item=item)
    if not form.is_valid():
        return _refused(request, item, form, form_sentences(form))
    try:
        made = catalogue_add(
            values=form.values(), actor=Actor.of_user(person(request)), now=timezone.now()
        )
    except ValidationError as error:
        return _refused(request, item, form, _sentences(form, error))
    messages.success(request, _("Added. New jobs take it from now on."))
    return redirect("catalogue-item", made.pk)


@require(Action.SEE_CATALOGUE)
@require_safe
def catalogue_item(request: HttpRequest, item_id: int) -> HttpResponse:
    """Show one entry: read by who sees jobs, with its form for who may change it."""
    item = get_object_or_404(CatalogueItem, pk=item_id)
    return _entry(request, item, CatalogueItemForm(item=item))


@require(Action.EDIT_CATALOGUE)
@require_POST
def catalogue_change_post(request: HttpRequest, item_id: int) -> HttpResponse:
    """Take what was changed of an entry."""
    item = get_object_or_404(CatalogueItem, pk=item_id)
    form = CatalogueItemForm(request.POST, item=item)
    if not form.is_valid():
        return _refused(request, item, form, form_sentences(form))
    try:
        catalogue_change(
            item_id=item_id,
            version=form.cleaned_data["version"],
            values=form.values(),
            actor=Actor.of_user(person(request)),
            now=timezone.now(),
        )
    except Stale as stale:
        return _quicker(request, stale.present)
    except ValidationError as error:
        return _refused(request, item, form, _sentences(form, error))
    messages.success(request, _("Saved. New jobs take it so; jobs that have it keep theirs."))
    return redirect("catalogue-item", item_id)


@require(Action.EDIT_CATALOGUE)
@require_POST
def catalogue_retire_post(request: HttpRequest, item_id: int) -> HttpResponse:
    """Retire an entry, or bring it back: the form says which."""
    item = get_object_or_404(CatalogueItem, pk=item_id)
    try:
        version = int(request.POST.get("version", ""))
    except ValueError:
        return _refused(request, item, CatalogueItemForm(item=item), [_("Say of which version.")])
    service = catalogue_restore if request.POST.get("back") else catalogue_retire
    actor, now = Actor.of_user(person(request)), timezone.now()
    try:
        service(item_id=item_id, version=version, actor=actor, now=now)
    except Stale as stale:
        return _quicker(request, stale.present)
    except ValidationError as error:
        form = CatalogueItemForm(item=item)
        return _refused(request, item, form, _sentences(form, error))
    messages.success(request, _("Saved."))
    return redirect("catalogue-item", item_id)


def catalogue_list(request: HttpRequest, status: int = 200, **context: Any) -> HttpResponse:
    """Show the list as a page; `context` adds what is wrong with a sheet."""
    filters = CatalogueFilters.read(request.GET)
    items = [item for item in catalogue_items() if filters.keeps(item)]
    given = {
        "filters": filters,
        "groups": [(gate, [i for i in items if i.gate == gate]) for gate in GATE_NAMES],
        "count": len(items),
        "gates": GATE_NAMES,
        "parties": PARTY_NAMES,
        "spaces": dict(Space.Kind.choices),
        "may_edit": may(person(request), Action.EDIT_CATALOGUE),
    }
    return render(request, "jobs/catalogue/catalogue.html", given | context, status=status)


def _one_of(text: str, allowed: Any) -> str:
    return text if text in allowed else ""


def _entry(
    request: HttpRequest,
    item: CatalogueItem,
    form: CatalogueItemForm,
    status: int = 200,
    problems: list[str] | None = None,
) -> HttpResponse:
    context = {
        "item": item,
        "form": form,
        "guarded": is_guarded(item.code),
        "houses": HOUSE_WORDS.get(item.houses, ""),
        "may_edit": may(person(request), Action.EDIT_CATALOGUE),
        "problems": problems or [],
    }
    return render(request, "jobs/catalogue/catalogue_item.html", context, status=status)


def _refused(
    request: HttpRequest, item: CatalogueItem, form: CatalogueItemForm, sentences: list[str]
) -> HttpResponse:
    return _entry(request, item, form, BAD_INPUT, sentences)


def _quicker(request: HttpRequest, present: CatalogueItem) -> HttpResponse:
    """Show the entry as somebody else left it."""
    words = _(
        "Somebody changed this meanwhile. Below is how it is now; nothing of yours was saved."
    )
    return _entry(request, present, CatalogueItemForm(item=present), CONFLICT, [words])


def _sentences(form: CatalogueItemForm, error: ValidationError) -> list[str]:
    """Return what a service refused, each by the label of its field."""
    found = []
    for name, sentences in error.message_dict.items():
        field = form.fields.get(name)
        found += [f"{field.label}: {text}" if field else text for text in sentences]
    return found
