"""Why a job finds no place: which hold-up, in words, and who holds it; decides no plan."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from django.utils.formats import date_format
from django.utils.translation import gettext

from jobs.conditions.readiness import JobCondition, marks, step_ready
from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.conditions.states import OWED
from jobs.conditions.words import PARTY_NAMES, STEP_NAMES
from jobs.readiness.queries.outlook import JobOutlook, StepOutlook
from scheduling.gather.cases import JobCase, StepCase


class HoldUp(StrEnum):
    """What holds a job up, as the shelf groups it."""

    BUILDER = "builder"
    INSPECTION = "inspection"
    OWNER = "owner"
    NO_DATE = "no_date"
    ESTIMATE = "estimate"
    NO_CREW = "no_crew"
    NO_ROOM = "no_room"


# All is reported, and nothing open: only somebody who looks can make the chance greater.
ONLY_REPORTED = _("all is reported done, but reports were too often not true; have somebody look")
HOLD_UP_OF_PARTY = {"inspector": HoldUp.INSPECTION, "owner": HoldUp.OWNER}


@dataclass(frozen=True)
class Held:
    """A job that is not planned: the hold-up, the sentence for it and who holds it."""

    outlook: JobOutlook
    hold_up: HoldUp
    sentence: str
    owed_by: str = ""


def hold_up_of(case: JobCase, first: StepCase, days: tuple[date, ...]) -> Held:
    """Return what holds up a job whose first step that is left to place is `first`."""
    if first.outlook.held_by:
        return Held(case.outlook, HoldUp.ESTIMATE, first.outlook.held_by[0].text)
    if not first.step.minutes:
        return Held(case.outlook, HoldUp.NO_CREW, _words(gettext("no crew has the skill"), first))
    if first.is_open_some_day:
        return Held(case.outlook, HoldUp.NO_ROOM, _words(gettext("no room on these days"), first))
    blocking = _blocking(case.outlook, first.step.kind, days[-1])
    if not blocking and _is_doubtful(case, first):
        blocking = _open(case, first)
        if not blocking:
            return Held(case.outlook, HoldUp.BUILDER, _words(gettext(ONLY_REPORTED), first))
    if not blocking:
        return Held(
            case.outlook, HoldUp.NO_ROOM, _words(gettext("waits for the step before"), first)
        )
    return _owed(case.outlook, blocking)


def step_held(outlook: JobOutlook, entry: StepOutlook, last_day: date) -> str:
    """What keeps a step from starting even on the last day, in words; empty where nothing does."""
    if entry.held_by:
        return entry.held_by[0].text
    return _sentence(_blocking(outlook, entry.step.kind, last_day), outlook.job.ready_date)


def day_said(day: date) -> str:
    """Return a day as sentences hold it."""
    return date_format(day, "D M j")


def shown(sentence: Sentence, say_day: Callable[[date], str] = day_said) -> str:
    """Return a sentence in the language that is active."""
    return sentence.render(gettext, say_day)


def _words(what: str, case: StepCase) -> str:
    return f"{gettext(STEP_NAMES[case.step.kind])}: {what}"


def _blocking(outlook: JobOutlook, kind: str, last_day: date) -> list[JobCondition]:
    """The conditions of the step that are not true even on the last day."""
    ready = outlook.job.ready_date
    return [
        condition
        for condition in outlook.conditions
        if not step_ready(kind, [condition], last_day, ready).ready
    ]


def _is_doubtful(case: JobCase, first: StepCase) -> bool:
    """Whether the step is too unlikely to start even on the last day."""
    chance = Decimal(1) - Decimal(str(first.outlook.risks[-1]))
    return chance < case.outlook.job.site.branch.ready_threshold


def _open(case: JobCase, first: StepCase) -> list[JobCondition]:
    """What the step waits for that nobody has said is done."""
    kind = first.step.kind
    held_by = (condition for condition in case.outlook.conditions if kind in condition.holds)
    return [held for held in held_by if held.is_awaited and not held.is_settled]


def _owed(outlook: JobOutlook, blocking: list[JobCondition]) -> Held:
    ready = outlook.job.ready_date
    undated = [c for c in blocking if c.state == OWED and ready is None]
    parties = [condition.owed_by for condition in blocking]
    first = next((p for p in parties if p in HOLD_UP_OF_PARTY), parties[0])
    hold_up = HoldUp.NO_DATE if undated else HOLD_UP_OF_PARTY.get(first, HoldUp.BUILDER)
    return Held(outlook, hold_up, _sentence(blocking, ready), PARTY_NAMES[first])


def _sentence(blocking: Iterable[JobCondition], ready_date: date | None) -> str:
    return "; ".join(shown(sentence) for sentence in marks(blocking, ready_date).open)
