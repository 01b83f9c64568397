"""Gives the job page what its finished steps took beside their estimates; knows no page."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import template
from django.utils.translation import gettext_lazy as _

from contractor.access import Action, may
from contractor.models import User
from jobs.estimates.targets import depth_targets
from jobs.models import Job
from jobs.rates.actual_ratios import bags_in
from jobs.rates.queries import job_actuals, ratio_of
from jobs.said_steps import said_steps

register = template.Library()


_COLUMNS = {
    "chart": _("Coverage chart"),
    "cavity": _("Cavity chart"),
    "batts": _("Sizes of batts"),
    "r": _("R-value"),
    "initial_in": _("Initial, in"),
    "settled_in": _("Settled, in"),
    "lb_per_ft2": _("Weight, lb/ft²"),
    "bags_per_1000_ft2": _("Bags for 1,000 ft²"),
    "ft2_per_bag": _("ft² a bag covers"),
    "depth_in": _("Depth of the fill, in"),
    "lb_per_ft3": _("Density, lb/ft³"),
    "thickness_in": _("Thickness, in"),
    "width_in": _("Width, in"),
    "package_ft2": _("ft² in a package"),
}


@register.filter
def column_name(column: str) -> str:
    """The name of a table or of one of its columns, with its unit."""
    return str(_COLUMNS.get(column, column))


@register.filter
def times(ratio: float) -> str:
    """A ratio as people say it: `× 1.12`."""
    return f"× {float(ratio):.2f}"


@register.filter
def figure(number: float) -> str:
    """A number to one place: `3.0`."""
    return f"{number:.1f}"


@register.filter
def inches(depth: float) -> str:
    """A depth without needless zeros: `16.5`."""
    return f"{float(depth):.2f}".rstrip("0").rstrip(".")


@register.filter
def depths(many: Iterable[float]) -> str:
    """Depths as they were read, side by side: `16.5 · 17`."""
    return " · ".join(inches(depth) for depth in many)


@register.filter
def of_kind(found: Mapping[str, Any], kind: str) -> Any:
    """What a table by kinds of step has for one; nothing where it has none."""
    return found.get(kind, ())


@register.simple_tag
def actuals_of(job: Job, user: User) -> dict[str, Any]:
    """The job's needed or finished steps with the actual that holds, and whether one may enter."""
    steps = list(job.steps.all())
    held = job_actuals(steps)
    needed = [step for step in steps if step.needed]
    return {
        "all_done": job.state == Job.State.OPEN
        and bool(needed)
        and all(step.pk in held for step in needed),
        "said": said_steps(job),
        "targets": depth_targets(job.spaces.all()),
        "may_correct": may(user, Action.CORRECT_FACT),
        "lines": [
            {
                "step": step,
                "bags": bags_in(step.loads),
                "minutes": step.crew_minutes.get("2") or min(step.crew_minutes.values(), default=0),
                "actual": held.get(step.pk),
                "ratio": ratio_of(held[step.pk]) if step.pk in held else None,
            }
            for step in steps
            if step.needed or step.pk in held
        ],
        "may_enter": may(user, Action.ENTER_ACTUAL),
    }
