"""One part of a step where a week holds it; knows no rows."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction


@dataclass(frozen=True)
class Placement:
    """One part of a step on a crew's day, as a row of a draft or posted week.

    is_done: it lies on the first day planned, and is over by the moment from which that is planned.
    """

    step_id: int
    job_id: int
    crew_id: int
    day: date
    minutes: int
    step_minutes: int
    step_position: int
    position: int
    stop_id: int
    crew_day_id: int
    step_kind: str = ""
    is_done: bool = False

    @property
    def share(self) -> Fraction:
        """How much of the whole step this part is."""
        return Fraction(self.minutes, self.step_minutes)
