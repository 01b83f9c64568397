"""Everything that changes a week or a planning run, importable from one place."""

from scheduling.services.digests import digest_write
from scheduling.services.evening import Repriced, evening_answer
from scheduling.services.fact_corrections import CorrectionStale, fact_correct
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
from scheduling.services.replans import replans_ask, rest_ask
from scheduling.services.runs import run_accept, run_ask, run_cancel, run_stop, run_throw_away
from scheduling.services.turned_away import turned_away_see, turned_away_take
from scheduling.services.weeks import draft_discard, week_post
from scheduling.services.windows import (
    Told,
    WindowRefused,
    window_call_off,
    window_rung,
    window_tell,
)

__all__ = [
    "CorrectionStale",
    "FactRefused",
    "MoveRefused",
    "Moved",
    "NotThere",
    "PlanAgain",
    "PlanRefused",
    "PostRefused",
    "Repriced",
    "Told",
    "WeekChanged",
    "WindowRefused",
    "digest_write",
    "draft_discard",
    "evening_answer",
    "fact_correct",
    "fact_photo_keep",
    "facts_take",
    "replans_ask",
    "rest_ask",
    "run_accept",
    "run_ask",
    "run_cancel",
    "run_stop",
    "run_throw_away",
    "stop_move",
    "stop_place",
    "stop_take_off",
    "turned_away_see",
    "turned_away_take",
    "week_post",
    "window_call_off",
    "window_rung",
    "window_tell",
]
