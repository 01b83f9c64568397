"""Everything that changes a week or a planning run, importable from one place."""

from scheduling.services.digests import digest_write
from scheduling.services.evening import Repriced, evening_answer
from scheduling.services.facts import FactRefused, fact_photo_keep, facts_take
from scheduling.services.moves import Moved, stop_move, stop_place, stop_take_off
from scheduling.services.refusals import (
    MoveRefused,
    NotThere,
    PlanAgain,
    PlanRefused,
    PostRefused,
    WeekChanged,
)
from scheduling.services.runs import run_accept, run_ask, run_cancel, run_stop, run_throw_away
from scheduling.services.weeks import draft_discard, week_post

__all__ = [
    "FactRefused",
    "MoveRefused",
    "Moved",
    "NotThere",
    "PlanAgain",
    "PlanRefused",
    "PostRefused",
    "Repriced",
    "WeekChanged",
    "digest_write",
    "draft_discard",
    "evening_answer",
    "fact_photo_keep",
    "facts_take",
    "run_accept",
    "run_ask",
    "run_cancel",
    "run_stop",
    "run_throw_away",
    "stop_move",
    "stop_place",
    "stop_take_off",
    "week_post",
]
