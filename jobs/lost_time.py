"""Time lost by crews turned away: asked of the floor above, which settings name; knows no fact."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.conf import settings
from django.utils.module_loading import import_string

from contractor.access import Scope


@dataclass(frozen=True)
class LostTime:
    """How often crews were turned away, and the minutes that went on site and on the road."""

    times: int = 0
    minutes: int = 0

    def __add__(self, other: "LostTime") -> "LostTime":
        return LostTime(self.times + other.times, self.minutes + other.minutes)


def lost_time(
    scope: Scope, *, builder_id: int | None = None, branch_id: int | None = None
) -> LostTime:
    """What was lost at the houses that the scope sees, of one builder or one yard or of all."""
    ask = import_string(settings.LOST_TIME)
    found: Mapping[int, LostTime] = ask(scope, builder_id=builder_id, branch_id=branch_id)
    return sum(found.values(), LostTime())
