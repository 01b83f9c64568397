"""Why a change of a week or a run is refused, in words ready to be shown; changes nothing."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext

from jobs.shown import day_shown


class PlanRefused(Exception):
    """A change that was not made; `sentence` says why, `reasons` what stands against it."""

    def __init__(self, sentence: str, reasons: tuple[str, ...] = ()) -> None:
        super().__init__("; ".join([sentence, *reasons]))
        self.sentence = sentence
        self.reasons = reasons


class WeekChanged(PlanRefused):
    """Somebody changed the week since it was read; `at` is a moment in the yard's zone."""

    def __init__(self, label: str, who: str = "", at: datetime | None = None) -> None:
        if who and at:
            template = gettext("Week %(label)s was changed by %(who)s on %(at)s meanwhile.")
            values = {"label": label, "who": who, "at": f"{day_shown(at.date())}, {at:%H:%M}"}
        else:
            template, values = gettext("Week %(label)s was changed meanwhile."), {"label": label}
        super().__init__(template % values)
        self.label, self.who, self.at = label, who, at


class StopMoveRefused(PlanRefused):
    """A move that would break a rule of the plan."""


@dataclass(frozen=True)
class GoneStop:
    """A stop of a house at which nothing is to be done any more, with what became of the house."""

    stop_id: int
    words: str


class PostRefused(PlanRefused):
    """A draft that facts have overtaken.

    may_insist: it may be posted all the same. gone: stops that must be taken off first.
    """

    def __init__(
        self,
        sentence: str,
        reasons: tuple[str, ...],
        *,
        may_insist: bool,
        gone: tuple[GoneStop, ...] = (),
    ) -> None:
        super().__init__(sentence, reasons)
        self.may_insist = may_insist
        self.gone = gone


class PlanAgain(PlanRefused):
    """A proposal that facts have overtaken."""


class NotThere(PlanRefused):
    """The thing to be changed is not there, or not any more."""
