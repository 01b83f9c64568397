"""The pages on which a space is measured, changed and removed, and its preview as one types."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from contractor.access import Action, require, scope_of
from contractor.events import Actor
from jobs.desk.forms import form_sentences
from jobs.desk.queries import job_last_change, jobs_with_place
from jobs.desk.services import Stale
from jobs.desk.views.history import event_presenter
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT
from jobs.desk.who import person
from jobs.estimating import TakeoffError
from jobs.localtime import local_date
from jobs.models import Job, Space
from jobs.spaces.forms.kinds import FORMS
from jobs.spaces.forms.space import SpaceForm, form_faults, only_missing
from jobs.spaces.forms.start import materials_for, new_space, remembered_code
from jobs.spaces.preview import OtherSpaceRefused, Preview, space_preview
from jobs.spaces.services import space_remove, space_save
from jobs.spaces.views.measures import space_measures
from jobs.spaces.views.preview import GatePresenter, gate_presenters, result_of, suggestion_texts
from jobs.wording import word

page_methods = require_http_methods(["GET", "HEAD", "POST"])


@dataclass(frozen=True)
class Desk:
    """A space being measured: its job, the row (saved or not), the form, and what it makes."""

    job: Job
    space: Space
    form: SpaceForm
    preview: Preview | None = None


@require(Action.EDIT_JOB)
@page_methods
def space_new(request: HttpRequest, job_id: int) -> HttpResponse:
    """Measure a new space of the kind that the query string names, or choose a kind."""
    job = _job_or_404(request, job_id)
    kind = request.GET.get("kind", "")
    if kind not in FORMS:
        context = {"job": job, "kinds": Space.Kind.choices}
        return render(request, "jobs/spaces/space_kinds.html", context)
    return _page(request, job, new_space(job, kind))


@require(Action.EDIT_JOB)
@page_methods
def space_change(request: HttpRequest, job_id: int, space_id: int) -> HttpResponse:
    """Change a space that is there."""
    job = _job_or_404(request, job_id)
    return _page(request, job, _space_or_404(job, space_id))


@require(Action.EDIT_JOB)
@require_POST
def space_look(request: HttpRequest, job_id: int) -> HttpResponse:
    """Work out what has been typed so far; writes nothing."""
    job = _job_or_404(request, job_id)
    pk, kind = request.POST.get("space", ""), request.POST.get("kind", "")
    if pk.isascii() and pk.isdigit() and len(pk) < 10:
        space = _space_or_404(job, int(pk))
    elif kind in FORMS:
        space = new_space(job, kind)
    else:
        return HttpResponse(_("Expected a kind of space."), status=BAD_INPUT)
    desk = _worked_out(_desk(request, job, space))
    context = _context(desk) | {"gentle": only_missing(desk.form)}
    return render(request, "jobs/spaces/space_look.html", context)


@require(Action.EDIT_JOB)
@page_methods
def space_take_off(request: HttpRequest, job_id: int, space_id: int) -> HttpResponse:
    """Ask whether a space is to be removed; posted, remove it."""
    job = _job_or_404(request, job_id)
    space = _space_or_404(job, space_id)
    context = {"job": job, "space": space, "measures": space_measures(space)}
    if request.method != "POST":
        return render(request, "jobs/spaces/space_remove.html", context)
    version = request.POST.get("version", "")
    try:
        space_remove(
            job_id=job.pk,
            version=int(version) if version.isdecimal() and len(version) < 10 else 0,
            space_id=space.pk,
            actor=Actor.of_user(person(request)),
            now=timezone.now(),
        )
    except Stale:
        context |= {"problems": [_someone_was_quicker(job)]}
        return render(request, "jobs/spaces/space_remove.html", context, status=CONFLICT)
    messages.success(request, _("%(space)s is removed.") % {"space": space.name})
    return redirect("job", job.pk)


def _page(request: HttpRequest, job: Job, space: Space) -> HttpResponse:
    desk = _desk(request, job, space)
    if request.method == "POST":
        desk = _worked_out(desk)
        if request.POST.get("action") != "look":
            return _save(request, desk)
    elif space.pk:
        desk = _stored(desk)
    return _answer(request, desk)


def _save(request: HttpRequest, desk: Desk) -> HttpResponse:
    if desk.form.errors:
        return _answer(request, desk, status=BAD_INPUT)
    try:
        saved = space_save(
            job_id=desk.job.pk,
            version=desk.form.cleaned_data["version"],
            space_id=desk.space.pk,
            values=desk.form.values(),
            actor=Actor.of_user(person(request)),
            now=timezone.now(),
        )
    except Stale:
        return _stale(request, desk)
    except TakeoffError as error:
        desk.form.refuse(error)
    except ValidationError as error:
        _refuse_by_field(desk.form, error)
    else:
        return _saved(request, desk.job, saved)
    return _answer(request, desk, status=BAD_INPUT)


def _saved(request: HttpRequest, job: Job, space: Space) -> HttpResponse:
    messages.success(request, _("%(space)s is saved.") % {"space": space.name})
    if request.POST.get("action") == "another":
        return redirect("space-new", job.pk)
    return redirect(f"{reverse('job', args=[job.pk])}#spaces")


def _stale(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Tell who was quicker, keep what was typed, and let a second press decide."""
    job = _job_or_404(request, desk.job.pk)
    data = request.POST.copy()
    data["version"] = str(job.version)
    desk = _worked_out(_desk(request, job, desk.space, data))
    now = {"now": space_measures(desk.space)} if desk.space.pk else {}
    problem = _someone_was_quicker(job)
    return _answer(request, desk, status=CONFLICT, problems=[problem], **now)


def _someone_was_quicker(job: Job) -> str:
    event = job_last_change(job)
    words = _(
        "%(who)s changed this job meanwhile: %(what)s. Nothing of yours was saved yet; look once"
        " more, and press again if it still holds."
    )
    who, what = (event.who, event_presenter(event).sentence) if event else (_("Somebody"), "")
    return words % {"who": who, "what": what}


def _refuse_by_field(form: SpaceForm, error: ValidationError) -> None:
    """Lay faults of the row at their fields; those of fields that are not on the form, above it."""
    for name, faults in error.message_dict.items():
        for fault in faults:
            form.add_error(name if name in form.fields else None, word(fault))


# --- what is on the desk ---------------------------------------------------------------------


def _desk(request: HttpRequest, job: Job, space: Space, data: Any = None) -> Desk:
    posted = request.POST if request.method == "POST" else None
    form = FORMS[space.kind](
        data or posted,
        space=space,
        version=job.version,
        materials=materials_for(space.kind),
        code=remembered_code(job),
    )
    return Desk(job, space, form)


def _worked_out(desk: Desk) -> Desk:
    """Return the same with what the form's measures make; refusals land at their fields."""
    if not desk.form.is_valid():
        return desk
    return _looked_at(desk, desk.form.as_space())


def _stored(desk: Desk) -> Desk:
    """Return the same with what the measures make that are kept."""
    return _looked_at(desk, desk.space)


def _looked_at(desk: Desk, space: Space) -> Desk:
    job, form = desk.job, desk.form
    try:
        today = local_date(job.site.branch, timezone.now())
        return Desk(job, desk.space, form, space_preview(job, space, today=today))
    except TakeoffError as error:
        if form.is_bound:
            form.refuse(error)
    except OtherSpaceRefused as error:
        if form.is_bound:
            words = _("%(space)s, another space of this job, cannot be worked out: %(reason)s")
            names = {"space": error.space.name, "reason": error.words}
            form.add_error(None, words % names)
    return desk


def _answer(request: HttpRequest, desk: Desk, status: int = 200, **more: Any) -> HttpResponse:
    return render(request, "jobs/spaces/space.html", _context(desk) | more, status=status)


def _context(desk: Desk) -> dict[str, Any]:
    form, preview = desk.form, desk.preview
    code = form.code if form.is_bound else (desk.space.details.get("code") or form.usual_code)
    return {
        "job": desk.job,
        "space": desk.space,
        "form": form,
        "faults": form_faults(form) if form.is_bound else [],
        "sentences": form_sentences(form) if form.is_bound else [],
        "result": result_of(preview) if preview else None,
        "ready": _ready(desk.job, preview) if preview else (),
        "suggestion": suggestion_texts(code, form.suggests, preview),
    }


def _ready(job: Job, preview: Preview) -> tuple[GatePresenter, ...]:
    return gate_presenters(preview.ready, first_space=not job.conditions.all())


def _job_or_404(request: HttpRequest, job_id: int) -> Job:
    jobs = jobs_with_place(scope_of(request.user)).prefetch_related("conditions")
    return get_object_or_404(jobs, pk=job_id)


def _space_or_404(job: Job, space_id: int) -> Space:
    spaces = job.spaces.select_related("material").prefetch_related(
        "material__chart", "material__cavity_chart", "material__batts"
    )
    return get_object_or_404(spaces, pk=space_id)
