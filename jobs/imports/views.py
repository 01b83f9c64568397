"""Importing a sheet: upload, preview, confirm; and the blank sheet. Decides nothing itself."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from contractor.access import Action, require, scope_of
from contractor.events import Actor
from contractor.models import Event
from jobs.desk.forms import form_sentences
from jobs.desk.sheet_form import SheetForm
from jobs.desk.views.refusal import BAD_INPUT
from jobs.desk.who import person
from jobs.imports.plan import ImportPlan
from jobs.imports.queries.preview import import_preview
from jobs.imports.services import ImportRefused, upload_import, upload_keep
from jobs.models import SheetUpload
from jobs.sheets import SheetError, blank
from jobs.sheets.columns import COLUMNS, WORDS

NOT_THERE = 404
MOST_ERRORS_SHOWN = 300
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@require(Action.IMPORT_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def import_page(request: HttpRequest) -> HttpResponse:
    """Take a sheet; keep it and go on to its preview, or show all that is wrong with it."""
    if request.method != "POST":
        return _page(request)
    form = SheetForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, BAD_INPUT, problems=form_sentences(form))
    content = form.content()
    plan = import_preview(content=content, scope=scope_of(request.user))
    if plan.errors:
        return _page(request, BAD_INPUT, filename=form.filename(), **_errors(plan))
    upload = upload_keep(
        user=person(request), filename=form.filename(), content=content, now=timezone.now()
    )
    return redirect("import-preview", upload.pk)


@require(Action.IMPORT_JOBS)
@require_http_methods(["GET", "HEAD", "POST"])
def preview_page(request: HttpRequest, upload_id: UUID) -> HttpResponse:
    """Show what a kept sheet would do, or do it."""
    now = timezone.now()
    upload = SheetUpload.objects.of(person(request), now).filter(pk=upload_id).first()
    if upload is None:
        gone = _(
            "No such sheet waits any more: it was imported, or kept too long. Upload it again."
        )
        return _page(request, NOT_THERE, problems=[gone])
    if request.method == "POST":
        return _import(request, upload, now)
    plan = import_preview(content=bytes(upload.content), scope=scope_of(request.user))
    if plan.errors:
        return _page(request, BAD_INPUT, filename=upload.filename, **_errors(plan))
    return render(request, "jobs/imports/import_preview.html", {"plan": plan, "upload": upload})


def _import(request: HttpRequest, upload: SheetUpload, now: datetime) -> HttpResponse:
    user = person(request)
    try:
        plan = upload_import(
            upload_id=upload.pk,
            user=user,
            scope=scope_of(user),
            actor=Actor.of_user(user, Event.Source.IMPORT),
            now=now,
        )
    except ImportRefused as refusal:
        return _page(request, BAD_INPUT, filename=upload.filename, **_errors(refusal.plan))
    if plan is None:
        messages.warning(request, _("That sheet was imported already."))
    else:
        messages.success(request, _done(plan))
    return redirect("import")


def _done(plan: ImportPlan) -> str:
    counts = {"new": len(plan.new), "changed": len(plan.changed), "same": len(plan.unchanged)}
    return _("Imported. Jobs: %(new)d new, %(changed)d changed, %(same)d unchanged.") % counts


def _page(request: HttpRequest, status: int = 200, **context: Any) -> HttpResponse:
    columns = [(column, WORDS[column.name]) for column in COLUMNS]
    context = {"form": SheetForm(), "columns": columns, **context}
    return render(request, "jobs/imports/import.html", context, status=status)


def _errors(plan: ImportPlan) -> dict[str, Any]:
    """Return the errors in the reader's language, the first few hundred of them."""
    shown = [_error_shown(error) for error in plan.errors[:MOST_ERRORS_SHOWN]]
    count = len(plan.errors)
    return {"errors": shown, "error_count": count, "errors_left": count - len(shown)}


def _error_shown(error: SheetError) -> dict[str, object]:
    return {
        "row": error.row or "",
        "column": error.column,
        "value": error.value,
        "expected": error.expected.render(_),
    }


@require(Action.IMPORT_JOBS)
@require_safe
def blank_sheet(request: HttpRequest, form: str) -> HttpResponse:
    """Show the blank sheet to fill in, as `csv` or `xlsx`."""
    content, kind = {
        "csv": (blank.blank_csv, "text/csv; charset=utf-8"),
        "xlsx": (blank.blank_xlsx, _XLSX),
    }[form]
    response = HttpResponse(content(), content_type=kind)
    response.headers["Content-Disposition"] = f'attachment; filename="jobs.{form}"'
    return response
