"""The page that sets figures of a fact right; both are kept, and it shows both."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from contractor.access import Action, require, scope_of
from contractor.events import Actor
from jobs.desk.forms import form_sentences
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT
from jobs.desk.who import person
from scheduling.facts.forms.correction import CorrectionForm
from scheduling.facts.services.corrections import CorrectionStale, fact_correct
from scheduling.models import Fact


@require(Action.CORRECT_FACT)
@require_http_methods(["GET", "HEAD", "POST"])
def fact_correction(request: HttpRequest, fact_id: UUID) -> HttpResponse:
    """Show what was said of a finished step, with the form that corrects it; or take it."""
    finished = Fact.objects.visible_to(scope_of(request.user)).filter(kind=Fact.Kind.FINISHED)
    facts = finished.select_related("crew", "job__site__branch").prefetch_related("corrections")
    fact = get_object_or_404(facts, pk=fact_id)
    if request.method != "POST":
        return _page(request, fact, CorrectionForm(initial=_initial(fact)))
    form = CorrectionForm(request.POST)
    if not form.is_valid():
        return _page(request, fact, form, BAD_INPUT, problems=form_sentences(form))
    try:
        fact_correct(
            fact=fact,
            figures=form.what(),
            reason=form.cleaned_data["reason"],
            seen=form.cleaned_data["seen"],
            actor=Actor.of_user(person(request)),
            now=timezone.now(),
        )
    except ValidationError as wrong:
        return _page(request, fact, form, BAD_INPUT, problems=wrong.messages)
    except CorrectionStale:
        words = _("Somebody corrected this meanwhile. Below is how it is now.")
        fresh = facts.get(pk=fact_id)
        again = CorrectionForm(initial=_initial(fresh))
        return _page(request, fresh, again, CONFLICT, problems=[words])
    messages.success(request, _("Corrected. What was said is kept beside it."))
    return redirect(reverse("job", args=[fact.job_id]) + "#said")


def _initial(fact: Fact) -> dict[str, Any]:
    figures = fact.figures
    return {
        "minutes": figures.get("minutes"),
        "bags": figures.get("bags"),
        "depths_in": " ".join(f"{depth:g}" for depth in figures.get("depths_in") or []),
        "whole": "true" if figures.get("whole", True) else "false",
        "seen": len(fact.corrections.all()),
    }


def _page(
    request: HttpRequest, fact: Fact, form: CorrectionForm, status: int = 200, **context: Any
) -> HttpResponse:
    given = {
        "fact": fact,
        "job": fact.job,
        "form": form,
        "corrections": list(fact.corrections.all()),
    }
    return render(request, "scheduling/facts/fact_correct.html", given | context, status=status)
