"""A planning run in plain words: how it stands, what it proves, what it costs; changes nothing."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.formats import date_format, time_format
from django.utils.translation import gettext as _

from jobs.shown import dollars, word
from scheduling.models import PlanningRun
from scheduling.planning.plan import INFEASIBLE, PROVEN
from scheduling.words import percent

State, Verdict, Wish = PlanningRun.State, PlanningRun.Verdict, PlanningRun.Wish


@dataclass(frozen=True)
class RunStatus:
    """How a run stands: a headline, and a sentence on what that means."""

    headline: str
    sentence: str


def standing_of(run: PlanningRun, *, is_starting: bool = False) -> RunStatus:
    """Return how a run stands, in words."""
    if run.state in PlanningRun.UNDER_WAY:
        return _under_way(run, is_starting)
    if run.state == State.FAILED:
        return RunStatus(_("It failed."), f"{word(run.error)} {_what_to_do(run)}".strip())
    if run.state == State.CANCELLED:
        return RunStatus(_("Cancelled."), _("Nothing of it was kept and no week was changed."))
    return _ended(run)


def _under_way(run: PlanningRun, is_starting: bool) -> RunStatus:
    if run.wish == Wish.CANCEL:
        return RunStatus(_("Cancelling."), _("Nothing of it will be kept."))
    if run.wish == Wish.STOP:
        return RunStatus(_("Stopping."), _("The best plan so far will be kept as the proposal."))
    if run.attempt > 1:
        tries = {"number": run.attempt, "most": PlanningRun.MAX_ATTEMPTS}
        return RunStatus(
            _("Searching again."),
            _("The work broke off and was begun anew: try %(number)s of %(most)s.") % tries,
        )
    if is_starting or run.state == State.ASKED_FOR:
        return RunStatus(_("Asked for."), _("The search begins in a moment."))
    return RunStatus(_("Searching."), _("Each better plan is kept as it is found."))


def _ended(run: PlanningRun) -> RunStatus:
    if run.verdict == Verdict.ACCEPTED:
        return RunStatus(_("Accepted."), _("The plan was taken into the draft."))
    if run.verdict == Verdict.THROWN_AWAY:
        return RunStatus(_("Thrown away."), _("No week was changed by it."))
    if _outcome(run).get("plan") is None:
        return RunStatus(_("No plan was found."), _what_to_do(run))
    cost = {"cost": dollars(_outcome(run)["cost"])}
    if run.state == State.STOPPED:
        return RunStatus(
            _("Stopped, best plan kept: %(cost)s.") % cost, _("It waits for your answer.")
        )
    return RunStatus(_("Finished: a plan for %(cost)s.") % cost, _("It waits for your answer."))


def proof_of(outcome: Mapping[str, Any]) -> str:
    """Return what the search proves of its plan, in plain words."""
    if outcome["status"] == INFEASIBLE or outcome.get("plan") is None:
        return ""
    cost, bound = outcome["cost"], outcome["bound"]
    if outcome["status"] == PROVEN:
        return _("Proven: no cheaper plan exists under these rules.")
    if cost >= 2 * bound:
        return _(
            "How far it is from the cheapest plan is not known: the search was too short. No plan "
            "can cost less than %(bound)s."
        ) % {"bound": dollars(max(0, bound))}
    share = percent((cost - bound) / bound)
    return _("At most %(share)s above the cheapest plan under these rules.") % {"share": share}


def seconds_of(run: PlanningRun, now: datetime) -> int:
    """Return the whole seconds since the run was asked for, until it ended."""
    return max(0, int(((run.ended_at or now) - run.asked_at).total_seconds()))


def rest_words(run: PlanningRun) -> str:
    """What a plan for the rest of a day plans, by the branch's own clock; empty for any other."""
    if run.rest_from is None:
        return ""
    at = run.rest_from.astimezone(ZoneInfo(run.branch.time_zone))
    words = {"day": date_format(at, "l, F j"), "time": time_format(at, "g:i A")}
    return _("A plan for the rest of %(day)s, from %(time)s") % words


def _outcome(run: PlanningRun) -> Mapping[str, Any]:
    return run.outcome or {}


def _what_to_do(run: PlanningRun) -> str:
    return _(
        "No week was changed. Plan again from the week page; if it happens again, tell whoever "
        "looks after this site that it was run %(id)s."
    ) % {"id": run.pk}
