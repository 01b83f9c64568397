"""What a space would make of its job, before it is saved; reads rows and writes nothing."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from contractor.models import Branch
from jobs.catalogue.queries import entries_of_job
from jobs.catalogue.traits import facts_of, slope_covers
from jobs.conditions.needed import NeededCondition, conditions_needed
from jobs.estimates import outcome
from jobs.estimates.branch_rates import branch_rates
from jobs.estimates.takeoff import MATERIAL_ROWS, takeoff_of, usual_machine
from jobs.estimating import (
    Assumed,
    Estimate,
    SpaceEstimate,
    TakeoffError,
    estimate_takeoff,
    kept_file,
)
from jobs.models import Condition, Job, Space
from jobs.wording import sentence_text

GATES = ("stop", "law", "block", "warn", "close")


class OtherSpaceRefused(Exception):
    """The estimator refuses another space of the job, so that nothing can be worked out."""

    def __init__(self, space: Space, error: TakeoffError) -> None:
        super().__init__(f"{space.name}: {error}")
        self.space, self.error = space, error

    @property
    def words(self) -> str:
        """What the estimator refuses of it, in the reader's language."""
        return sentence_text(self.error.located)


@dataclass(frozen=True)
class PreviewReady:
    """Something that must be ready first; `row` where the job has it already, else it is new.

    name: what must be true, in the trade's words.
    """

    needed: NeededCondition
    row: Condition | None
    name: str

    @property
    def state(self) -> str:
        """How far it is; what is new is owed."""
        return self.row.state if self.row else Condition.State.OWED


@dataclass(frozen=True)
class Preview:
    """One space as it would be: its part of the estimate, and what its job would wait for."""

    space: Space
    estimate: SpaceEstimate
    assumed: tuple[Assumed, ...]
    ready: tuple[PreviewReady, ...]


def others_of(job: Job, space: Space) -> list[Space]:
    """Return the job's other spaces with all that an estimate reads of them."""
    spaces = job.spaces.select_related("material").prefetch_related(*MATERIAL_ROWS)
    return [other for other in spaces if other.pk != space.pk]


def space_preview(job: Job, space: Space, *, today: date) -> Preview:
    """Estimate a job with `space` added, or put in the place of the row with its id.

    The space stands first among them, so that its path in a refusal is `spaces[0]`. Raises
    TakeoffError about this space, OtherSpaceRefused about another.
    """
    spaces = [space, *others_of(job, space)]
    estimate = _estimate(job.site.branch, spaces, today)
    for index, one in enumerate(spaces):
        one.estimate = kept_file(estimate, index)
    steps = [step.kind for step in outcome.job_steps(estimate)]
    own = estimate.spaces[0]
    return Preview(space, own, _assumed(estimate), _ready(job, spaces, steps, own))


def _estimate(branch: Branch, spaces: Sequence[Space], today: date) -> Estimate:
    takeoff = takeoff_of(spaces, usual_machine(branch), branch_rates(branch, today))
    try:
        return estimate_takeoff(takeoff)
    except TakeoffError as error:
        for index, other in enumerate(spaces[1:], start=1):
            if error.path.startswith(f"spaces[{index}]") and not error.path.endswith(".id"):
                raise OtherSpaceRefused(other, error) from None
        raise


def _assumed(estimate: Estimate) -> tuple[Assumed, ...]:
    """Return the defaults taken for this space, or for the rates and materials of the whole."""
    return tuple(one for one in estimate.assumed if _is_of_first(one.path))


def _is_of_first(path: str) -> bool:
    return path.startswith("spaces[0]") or not path.startswith("spaces[")


def _ready(
    job: Job, spaces: Iterable[Space], steps: Sequence[str], own: SpaceEstimate
) -> tuple[PreviewReady, ...]:
    """Return what the steps of this space wait for, stops first."""
    spaces = list(spaces)
    conditions = list(job.conditions.all())
    rows = {row.code: row for row in conditions if row.needed}
    struck = {row.code for row in conditions if row.by_hand == Condition.ByHand.STRUCK}
    catalogue = entries_of_job(conditions)
    names = {entry.code: entry.name for entry in catalogue}
    needed = conditions_needed(
        {space.kind for space in spaces},
        steps,
        job.year_built,
        covers=slope_covers(spaces),
        facts=facts_of(spaces),
        catalogue=catalogue,
    )
    kinds = {step.kind for step in own.steps}
    found = [
        PreviewReady(one, rows.get(one.code), names[one.code])
        for one in needed
        if kinds & set(one.holds) and one.code not in struck
    ]
    return tuple(sorted(found, key=lambda ready: GATES.index(ready.needed.gate)))
