"""Time lost by crews turned away, as the plan tells it through `plan_ports`; knows no fact."""

from dataclasses import dataclass


@dataclass(frozen=True)
class LostTime:
    """How often crews were turned away, and the minutes that went on site and on the road."""

    times: int = 0
    minutes: int = 0

    def __add__(self, other: "LostTime") -> "LostTime":
        return LostTime(self.times + other.times, self.minutes + other.minutes)
