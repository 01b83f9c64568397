"""Pages of materials: the list, one material with its charts; and what is posted there."""

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from contractor.access import Action, require
from contractor.events import Actor
from contractor.models import Material
from jobs.desk.forms import form_sentences
from jobs.desk.services import Stale
from jobs.desk.sheet_form import SheetForm
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT
from jobs.desk.who import person
from jobs.materials.forms import TABLES_OF, MaterialForm, NewMaterialForm, TypedTable
from jobs.materials.services import (
    TABLES,
    DoubtfulRows,
    TableDoubt,
    Values,
    material_save,
    material_table_replace,
    table_doubts,
)
from jobs.rates.views.rates import repriced_tell
from jobs.sheets import SheetError
from jobs.sheets.tables import table_read

MOST_ERRORS_SHOWN = 60


@require(Action.SET_RATES)
@require_http_methods(["GET", "HEAD", "POST"])
def materials_page(request: HttpRequest) -> HttpResponse:
    """List the company's materials; take a new one."""
    if request.method != "POST":
        return _list(request, NewMaterialForm())
    form = NewMaterialForm(request.POST)
    problems = form_sentences(form)
    if not problems:
        try:
            material, _repriced = material_save(
                material_id=None, version=0, values=form.cleaned_data, **_by(request)
            )
        except ValidationError as error:
            problems = list(error.messages)
        else:
            messages.success(request, _("%(name)s is kept.") % {"name": material.name})
            return redirect("material", material.pk)
    return _list(request, form, BAD_INPUT, problems=problems)


@require(Action.SET_RATES)
@require_http_methods(["GET", "HEAD", "POST"])
def material_page(request: HttpRequest, material_id: int) -> HttpResponse:
    """Show a material with its charts; take its facts."""
    material = get_object_or_404(Material, pk=material_id)
    if request.method != "POST":
        return _page(request, material)
    form = MaterialForm(request.POST, material=material)
    problems = form_sentences(form)
    if problems:
        return _page(request, material, BAD_INPUT, form=form, problems=problems)
    try:
        kept, repriced = material_save(
            material_id=material.pk,
            version=form.cleaned_data["version"],
            values=form.facts(),
            **_by(request),
        )
    except Stale:
        return _page(request, material, CONFLICT, problems=[_changed_meanwhile()])
    except ValidationError as error:
        return _page(request, material, BAD_INPUT, form=form, problems=list(error.messages))
    messages.success(request, _("%(name)s is kept.") % {"name": kept.name})
    repriced_tell(request, repriced)
    return redirect("material", material.pk)


@require(Action.SET_RATES)
@require_POST
def table_post(request: HttpRequest, material_id: str, table: str) -> HttpResponse:
    """Take a table of the material as it was typed."""
    material = _with_table(material_id, table)
    typed = TypedTable.posted(table, request.POST)
    read = typed.read()
    if read.errors:
        return _typed(request, material, typed, errors=read.errors)
    try:
        repriced = material_table_replace(
            material_id=material.pk,
            version=_version(request),
            table=table,
            rows=[row.values for row in read.rows],
            kept_because=request.POST.get("kept_because", "")[:200],
            **_by(request),
        )
    except DoubtfulRows as doubtful:
        return _typed(request, material, typed, doubts=doubtful.doubts)
    except Stale:
        return _page(request, material, CONFLICT, problems=[_changed_meanwhile()])
    except ValidationError as error:
        return _typed(request, material, typed, problems=list(error.messages))
    messages.success(request, _("The table of %(name)s is kept.") % {"name": material.name})
    repriced_tell(request, repriced)
    return redirect("material", material.pk)


@require(Action.SET_RATES)
@require_POST
def sheet_post(request: HttpRequest, material_id: str, table: str) -> HttpResponse:
    """Read a sheet into the table's lines on the page; nothing is kept before it is saved there."""
    material = _with_table(material_id, table)
    form = SheetForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, material, BAD_INPUT, problems=form_sentences(form))
    read = table_read(form.content(), table)
    if read.errors:
        return _page(request, material, BAD_INPUT, errors=_errors_shown(read.errors))
    typed = TypedTable.of_table(table, read)
    told = _("%(file)s is read into the lines below. Nothing is kept before you save them.")
    messages.info(request, told % {"file": form.filename()})
    return _page(request, material, typed=typed)


def _with_table(material_id: str, table: str) -> Material:
    kinds = [kind for kind, tables in TABLES_OF.items() if table in tables]
    return get_object_or_404(Material, pk=int(material_id[:9]), kind__in=kinds)


def _version(request: HttpRequest) -> int:
    text = request.POST.get("version", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 0


def _by(request: HttpRequest) -> dict[str, Any]:
    return {"actor": Actor.of_user(person(request)), "now": timezone.now()}


def _changed_meanwhile() -> str:
    return _("Somebody changed this material meanwhile. Below is how it is now.")


def _typed(
    request: HttpRequest,
    material: Material,
    typed: TypedTable,
    *,
    errors: Sequence[SheetError] = (),
    doubts: Sequence[TableDoubt] = (),
    problems: Sequence[str] = (),
) -> HttpResponse:
    """Show the page with the lines as they were typed, and what is wrong with them."""
    return _page(
        request,
        material,
        BAD_INPUT,
        typed=typed,
        errors=_errors_shown(errors),
        asked_about=[(doubt, (doubt.row or 0) + 1) for doubt in doubts],
        problems=problems,
    )


def _errors_shown(errors: Sequence[SheetError]) -> list[dict[str, object]]:
    return [
        {
            "row": error.row or "",
            "column": error.column,
            "value": error.value,
            "expected": error.expected.render(_),
        }
        for error in errors[:MOST_ERRORS_SHOWN]
    ]


def _list(
    request: HttpRequest, form: NewMaterialForm, status: int = 200, **context: Any
) -> HttpResponse:
    materials = Material.objects.annotate(
        lines=Count("chart", distinct=True)
        + Count("cavity_chart", distinct=True)
        + Count("batts", distinct=True)
    )
    given = {
        "materials": materials,
        "form": form,
    }
    return render(request, "jobs/materials/materials.html", given | context, status=status)


def _page(
    request: HttpRequest, material: Material, status: int = 200, **context: Any
) -> HttpResponse:
    typed: TypedTable | None = context.pop("typed", None)
    given = {
        "material": material,
        "form": MaterialForm(material=material),
        "tables": [
            _table_shown(material, name, typed if typed and typed.name == name else None)
            for name in TABLES_OF[material.kind]
        ],
    }
    return render(request, "jobs/materials/material.html", given | context, status=status)


def _table_shown(material: Material, name: str, typed: TypedTable | None) -> dict[str, Any]:
    """Return a table as it is kept, with what is doubtful in it, and the lines to type in."""
    standing = list(getattr(material, TABLES[name][1]).all())
    kept = TypedTable.of_rows(name, standing)
    rows = [row.values for row in kept.read().rows]
    return {
        "name": name,
        "columns": kept.columns,
        "rows": standing,
        "rows_and_lines": zip(standing, kept.lines, strict=True),
        "doubts": _doubts(material, name, rows),
        "typed": typed or kept,
        "is_typed": typed is not None,
    }


def _doubts(material: Material, name: str, rows: Sequence[Values]) -> list[tuple[TableDoubt, int]]:
    """Return what is doubtful in rows that are kept, each with its line; old rows may be worse."""
    try:
        return [(doubt, (doubt.row or 0) + 1) for doubt in table_doubts(material, name, rows)]
    except ValidationError as error:
        return [(TableDoubt(None, " ".join(error.messages), ""), 0)]
