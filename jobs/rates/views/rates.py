"""The page of rates: every rate as it holds, estimate against actual; and what is posted there."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST, require_safe

from contractor.access import Action, may, require, scope_of
from contractor.events import Actor
from contractor.models import Branch
from jobs.desk.forms import form_sentences
from jobs.desk.views.refusal import BAD_INPUT
from jobs.desk.who import person
from jobs.estimates.services.reprice import Repriced
from jobs.estimating import code_target
from jobs.estimating.heat import SOURCE as HEAT_SOURCE
from jobs.models import Actual, Step
from jobs.plan_ports import lost_time
from jobs.rates.forms import PinForm, UnpinForm, YardForm
from jobs.rates.queries import actuals_found, groups_of, rates_page, ratio_of
from jobs.rates.services.rates import YARD_FIELDS, rate_pin, rate_unpin, rates_learn, yard_set
from jobs.rates.views.plot import MARKS, plot_of
from jobs.rates.views.yards import Yard, yard_asked

MOST_SHOWN = 60
MOST_REFUSED_SHOWN = 5


@require(Action.SEE_RATES)
@require_safe
def rates_show(request: HttpRequest) -> HttpResponse:
    """Show every rate of a branch, and what finished work took against its estimate."""
    return _page(request, yard_asked(request))


@require(Action.SET_RATES)
@require_POST
def learn_post(request: HttpRequest) -> HttpResponse:
    """Learn the rates from finished work."""
    yard = yard_asked(request)
    learnt = rates_learn(
        branch=yard.branch, actor=Actor.of_user(person(request)), now=timezone.now()
    )
    words = ngettext(
        "Learned from %(n)d finished step.", "Learned from %(n)d finished steps.", learnt.steps
    )
    messages.success(request, words % {"n": learnt.steps})
    if learnt.left_out:
        left = ngettext(
            "%(n)d finished step is left out: its spaces give no such step any more.",
            "%(n)d finished steps are left out: their spaces give no such step any more.",
            learnt.left_out,
        )
        messages.warning(request, left % {"n": learnt.left_out})
    repriced_tell(request, learnt.repriced)
    return redirect(yard.address("rates"))


@require(Action.SET_RATES)
@require_POST
def pin_post(request: HttpRequest) -> HttpResponse:
    """Set a rate by hand, with a reason."""
    yard, form = yard_asked(request), PinForm(request.POST)
    return _set(
        request,
        yard,
        form_sentences(form),
        lambda: rate_pin(branch=yard.branch, **form.cleaned_data, **_by(request)),
    )


@require(Action.SET_RATES)
@require_POST
def unpin_post(request: HttpRequest) -> HttpResponse:
    """Take a pin out."""
    yard, form = yard_asked(request), UnpinForm(request.POST)
    return _set(
        request,
        yard,
        form_sentences(form),
        lambda: rate_unpin(branch=yard.branch, **form.cleaned_data, **_by(request)),
    )


@require(Action.SET_RATES)
@require_POST
def yard_post(request: HttpRequest) -> HttpResponse:
    """Set how the yard works."""
    yard, form = yard_asked(request), YardForm(request.POST)
    return _set(
        request,
        yard,
        form_sentences(form),
        lambda: yard_set(branch=yard.branch, values=form.cleaned_data, **_by(request)),
    )


def repriced_tell(request: HttpRequest, repriced: Repriced) -> None:
    """Tell how many open jobs came out otherwise, and which could not be estimated."""
    n = repriced.changed
    words = ngettext("%(n)d open job was re-priced.", "%(n)d open jobs were re-priced.", n)
    told = [words % {"n": n}]
    if repriced.posted:
        stand = ngettext(
            "%(n)d job of a posted week stands as it is.",
            "%(n)d jobs of posted weeks stand as they are.",
            repriced.posted,
        )
        told.append(stand % {"n": repriced.posted})
    messages.success(request, " ".join(told))
    for sentence in repriced.refused[:MOST_REFUSED_SHOWN]:
        kept = _("Kept as it was, it cannot be estimated any more: %(job)s")
        messages.warning(request, kept % {"job": sentence})
    more = len(repriced.refused) - MOST_REFUSED_SHOWN
    if more > 0:
        messages.warning(request, _("and %(n)d more like it") % {"n": more})


def _by(request: HttpRequest) -> dict[str, Any]:
    return {"actor": Actor.of_user(person(request)), "now": timezone.now()}


def _set(
    request: HttpRequest, yard: Yard, problems: list[str], write: Callable[[], Repriced]
) -> HttpResponse:
    """Write what was posted and go back; with problems show the page with them."""
    if not problems:
        try:
            repriced_tell(request, write())
        except ValidationError as error:
            problems = list(error.messages)
    if problems:
        return _page(request, yard, BAD_INPUT, problems=problems)
    return redirect(yard.address("rates"))


def _page(request: HttpRequest, yard: Yard, status: int = 200, **context: Any) -> HttpResponse:
    branch = yard.branch
    given = {
        "yard": yard,
        "page": rates_page(branch),
        "may_set": may(person(request), Action.SET_RATES),
        "yard_form": YardForm(initial={name: getattr(branch, name) for name in YARD_FIELDS}),
        "heat_source": HEAT_SOURCE,
        "target": _target(branch),
        **_actuals(request, branch),
    }
    return render(request, "jobs/rates/rates.html", given | context, status=status)


def _target(branch: Branch) -> str:
    if branch.code_edition is None or branch.climate_zone is None:
        return ""
    target = code_target(branch.code_edition, branch.climate_zone, marine=branch.zone_is_marine)
    return target.sentence()


def _actuals(request: HttpRequest, branch: Branch) -> dict[str, Any]:
    """Return what finished work took, of the kind, crew and machine that the query asks for."""
    query = request.GET
    kind = query.get("step", "")
    wanted = {
        "step_kind": kind if kind in Step.Kind.values else "",
        "crew": _number(query.get("crew", "")),
        "machine": _number(query.get("machine", "")),
    }
    actuals = actuals_found(branch, **wanted)  # type: ignore[arg-type]
    plot = plot_of([(a.step.kind, a.estimated_minutes, a.minutes) for a in actuals])
    there = {actual.step.kind for actual in actuals}
    return {
        "wanted": wanted,
        "is_filtered": any(wanted.values()),
        "groups": groups_of(actuals),
        "plot": plot,
        "points": zip(plot.points, actuals, strict=True) if plot else (),
        "marks": [(mark, name) for name, mark in MARKS.items() if name in there],
        "entries": [_entry(actual) for actual in actuals[:MOST_SHOWN]],
        "entries_left": max(0, len(actuals) - MOST_SHOWN),
        "kinds": Step.Kind.values,
        "lost": lost_time(scope_of(request.user), branch_id=branch.pk),
        "crews": branch.crews.order_by("name"),
        "machines": branch.machines.order_by("name"),
    }


def _entry(actual: Actual) -> tuple[Actual, float]:
    return actual, ratio_of(actual)


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None
