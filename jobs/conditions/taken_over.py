"""Which step of ours a condition becomes that we take over; must not know rows, minutes, pages."""

from collections.abc import Collection
from dataclasses import dataclass

CHASE, TOP_PLATE, BOX, BAYS = "chase", "top_plate", "box", "bays"


@dataclass(frozen=True)
class TakenWork:
    """Work that we do in somebody's place, as a step of its own.

    kind: of the step. measure: what it is counted by. like: the kind of step whose conditions,
    skill and pace it has, so that what must be true before we seal must be true before this too.
    """

    kind: str
    measure: str
    like: str


CAP_CHASES = TakenWork("cap_chases", CHASE, like="air_seal")
SEAL_PLATES = TakenWork("seal_plates", TOP_PLATE, like="air_seal")
SEAL_BOXES = TakenWork("seal_boxes", BOX, like="air_seal")
SET_BAFFLES = TakenWork("set_baffles", BAYS, like="baffles")
SET_CHUTES = TakenWork("set_chutes", BAYS, like="baffles")
SEAL_ATTIC = TakenWork("seal_attic", TOP_PLATE, like="air_seal")
WORKS = {
    work.kind: work
    for work in (CAP_CHASES, SEAL_PLATES, SEAL_BOXES, SET_BAFFLES, SET_CHUTES, SEAL_ATTIC)
}


def work_of(measure: str, holds: Collection[str]) -> TakenWork | None:
    """Return the work by what it is counted by and what waits for it; None where none is counted.

    Plates that only the flat blow waits for are sealed from the attic, once the board is up. Bays
    that a slope waits for get chutes; others get baffles at the eave.
    """
    if measure == TOP_PLATE:
        return SEAL_ATTIC if set(holds) <= {"flat_blow"} else SEAL_PLATES
    if measure == BAYS:
        return SET_CHUTES if "slope_blow" in holds else SET_BAFFLES
    return {CHASE: CAP_CHASES, BOX: SEAL_BOXES}.get(measure)


def like(kind: str) -> str:
    """Return the kind of step that this one is like; itself where it is of the estimate's own."""
    return WORKS[kind].like if kind in WORKS else kind
