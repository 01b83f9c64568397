"""Sets figures of a fact right, keeping both; what is drawn from it follows."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from contractor.access import Action, may
from contractor.events import Actor, event_record
from jobs.desk.services import job_locked
from scheduling.facts.services.effects import fact_follow
from scheduling.models import Fact, FactCorrection
from scheduling.progress.reading import FactWrong, finished_read

FIGURES = ("minutes", "bags", "depths_in", "whole")
MOST_REASON = 200


class CorrectionStale(Exception):
    """Somebody corrected the same fact meanwhile; `present` is the fact as it is now."""

    def __init__(self, present: Fact) -> None:
        super().__init__(f"{present} was corrected meanwhile")
        self.present = present


@transaction.atomic
def fact_correct(
    *,
    fact: Fact,
    figures: Mapping[str, Any],
    reason: str,
    actor: Actor,
    now: datetime,
    seen: int | None = None,
) -> FactCorrection:
    """Keep figures of a finished step as they should have been said; the newest correction holds.

    figures: any of minutes, bags, depths_in, whole; the others stay. Where none differs, somebody
    has looked at odd ones and found them right, which is kept too. seen: how many corrections
    the caller saw; None where it does not matter. Raises ValidationError by figure, or
    where no reason is given; CorrectionStale where somebody was quicker; PermissionError
    where the actor may not.
    """
    if actor.user is not None and not may(actor.user, Action.CORRECT_FACT):
        raise PermissionError(f"{actor.who} may not correct what crews said.")
    if fact.kind != Fact.Kind.FINISHED or fact.job_id is None:
        raise ValidationError(_("Only what was said of a finished step has figures to correct."))
    job = job_locked(fact.job_id)
    fact = Fact.objects.select_related("crew__branch").get(pk=fact.pk)
    if seen is not None and fact.corrections.count() != seen:
        raise CorrectionStale(fact)
    before = {name: fact.figures.get(name) for name in FIGURES}
    after = _read(before, figures)
    correction = FactCorrection(
        fact=fact,
        before=before,
        after=after,
        reason=_reason(reason),
        corrected_at=now,
        corrected_by=actor.user,
        who=actor.who[:120],
    )
    correction.save()
    what = {
        "job": job.pk,
        "step": fact.step_kind,
        **{name: [before[name], after[name]] for name in FIGURES if before[name] != after[name]},
        "reason": correction.reason,
    }
    branch = fact.crew.branch
    event_record(actor=actor, now=now, verb="corrected", thing=fact, branch=branch, what=what)
    fact_follow(Fact.objects.get(pk=fact.pk), actor=actor, now=now)
    return correction


def _read(before: dict[str, Any], figures: Mapping[str, Any]) -> dict[str, Any]:
    unknown = sorted(set(figures) - set(FIGURES))
    if unknown:
        raise ValidationError(
            _("%(name)s: expected minutes, bags, depths_in or whole.") % {"name": unknown[0][:40]}
        )
    try:
        return finished_read({**before, **figures})
    except FactWrong as wrong:
        raise ValidationError(str(wrong)) from wrong


def _reason(reason: str) -> str:
    words = reason.strip()
    if not words or len(words) > MOST_REASON or "\0" in words:
        raise ValidationError(
            _("Reason: expected a few words, up to %(most)s characters.") % {"most": MOST_REASON}
        )
    return words
