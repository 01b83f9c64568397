"""Why a job finds no place: which hold-up, and why, as data; decides no plan."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from jobs.conditions.readiness import JobCondition, marks, step_ready
from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.conditions.states import OWED
from jobs.conditions.words import STEP_NAMES
from jobs.readiness.queries.outlook import JobOutlook, StepOutlook
from jobs.wording import sentence_text, sentences_text
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


NO_CREW_CAN = _("%(step)s: no crew has the skill")
NO_ROOM_LEFT = _("%(step)s: no room on these days")
WAITS_FOR_STEP = _("%(step)s: waits for the step before")
# All is reported, and nothing open: only somebody who looks can make the chance greater.
ONLY_REPORTED = _(
    "%(step)s: all is reported done, but reports were too often not true; have somebody look"
)
HOLD_UP_OF_PARTY = {"inspector": HoldUp.INSPECTION, "owner": HoldUp.OWNER}


@dataclass(frozen=True)
class Held:
    """A job that is not planned: the hold-up, and why in sentences that wait for a language."""

    outlook: JobOutlook
    hold_up: HoldUp
    why: tuple[Sentence, ...]

    @property
    def sentence(self) -> str:
        """Why, in the language that is active."""
        return sentences_text(self.why)


def hold_up_of(case: JobCase, first: StepCase, days: tuple[date, ...]) -> Held:
    """Return what holds up a job whose first step that is left to place is `first`."""
    if first.outlook.held_by:
        return Held(case.outlook, HoldUp.ESTIMATE, (_warned(first.outlook),))
    if not first.step.minutes:
        return Held(case.outlook, HoldUp.NO_CREW, _of_step(NO_CREW_CAN, first))
    if first.is_open_some_day:
        return Held(case.outlook, HoldUp.NO_ROOM, _of_step(NO_ROOM_LEFT, first))
    blocking = _blocking(case.outlook, first.step.kind, days[-1])
    if not blocking and _is_doubtful(case, first):
        blocking = _open(case, first)
        if not blocking:
            return Held(case.outlook, HoldUp.BUILDER, _of_step(ONLY_REPORTED, first))
    if not blocking:
        return Held(case.outlook, HoldUp.NO_ROOM, _of_step(WAITS_FOR_STEP, first))
    return _owed(case.outlook, blocking)


def step_held(outlook: JobOutlook, entry: StepOutlook, last_day: date) -> str:
    """Return what keeps a step from starting even on the last day, in words; or nothing."""
    if entry.held_by:
        return sentence_text(_warned(entry))
    blocking = _blocking(outlook, entry.step.kind, last_day)
    return sentences_text(_how_open(blocking, outlook.job.ready_date))


def _warned(entry: StepOutlook) -> Sentence:
    """Return what the estimate warns of first, as it was written down."""
    return Sentence("%(warning)s", {"warning": entry.held_by[0].text})


def _of_step(template: str, case: StepCase) -> tuple[Sentence]:
    return (Sentence(template, {"step": STEP_NAMES[case.step.kind]}),)


def _blocking(outlook: JobOutlook, kind: str, last_day: date) -> list[JobCondition]:
    """Return the conditions of the step that are not true even on the last day."""
    ready = outlook.job.ready_date
    return [
        condition
        for condition in outlook.conditions
        if not step_ready(kind, [condition], last_day, ready).ready
    ]


def _is_doubtful(case: JobCase, first: StepCase) -> bool:
    """Tell whether the step is too unlikely to start even on the last day."""
    chance = Decimal(1) - Decimal(str(first.outlook.risks[-1]))
    return chance < case.outlook.job.site.branch.ready_threshold


def _open(case: JobCase, first: StepCase) -> list[JobCondition]:
    """Return what the step waits for that nobody has said is done."""
    kind = first.step.kind
    held_by = (condition for condition in case.outlook.conditions if kind in condition.holds)
    return [held for held in held_by if held.is_awaited and not held.is_settled]


def _owed(outlook: JobOutlook, blocking: list[JobCondition]) -> Held:
    ready = outlook.job.ready_date
    undated = [c for c in blocking if c.state == OWED and ready is None]
    parties = [condition.owed_by for condition in blocking]
    first = next((p for p in parties if p in HOLD_UP_OF_PARTY), parties[0])
    hold_up = HoldUp.NO_DATE if undated else HOLD_UP_OF_PARTY.get(first, HoldUp.BUILDER)
    return Held(outlook, hold_up, _how_open(blocking, ready))


def _how_open(blocking: Iterable[JobCondition], ready_date: date | None) -> tuple[Sentence, ...]:
    return tuple(one.sentence for one in marks(blocking, ready_date).open)
