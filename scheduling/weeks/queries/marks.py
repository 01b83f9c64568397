"""How ready a house is, in words and in lines: solid ready, dashed doubtful, hatched not ready."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from datetime import date

from jobs.conditions.readiness import JobCondition, line_of, marks
from jobs.conditions.sentences import Sentence
from jobs.models import Job
from scheduling.gather.holdups import plain_day, rendered
from scheduling.weeks.shapes import ReadinessMarks

SOLID, DASHED, HATCHED = "solid", "dashed", "hatched"


@dataclass(frozen=True)
class MarkTeller:
    """Tells how ready houses are, each sentence put into words once.

    It remembers words of the language that is active: for one page, not for longer.
    """

    said: dict[tuple[object, ...], str] = field(default_factory=dict)
    days: dict[date, str] = field(default_factory=dict)

    def readiness(
        self,
        job: Job,
        conditions: Sequence[JobCondition],
        kinds: Collection[str],
        *,
        is_closed: bool = False,
    ) -> ReadinessMarks:
        """Return how ready a job is: the count for all of it, the line for some kinds of step.

        `is_closed` says that the day is closed to the work, whatever the marks.
        """
        whole = marks(conditions, job.ready_date)
        return ReadinessMarks(
            line=HATCHED if is_closed else _worst(job, conditions, frozenset(kinds)),
            count=self._say(whole.count),
            open=tuple(self._say(sentence) for sentence in whole.open),
        )

    def _say(self, sentence: Sentence) -> str:
        key = (sentence.template, *sentence.values.values())
        if key not in self.said:
            self.said[key] = rendered(sentence, self._day)
        return self.said[key]

    def _day(self, day: date) -> str:
        if day not in self.days:
            self.days[day] = plain_day(day)
        return self.days[day]


def _worst(job: Job, conditions: Sequence[JobCondition], kinds: frozenset[str]) -> str:
    lines = {
        line_of(condition, job.ready_date)
        for condition in conditions
        if condition.is_awaited and not kinds.isdisjoint(condition.holds)
    }
    return next((line for line in (HATCHED, DASHED) if line in lines), SOLID)
