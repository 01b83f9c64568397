"""What became of dates and reports that others gave; must not know rows or the clock."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from statistics import median_low

from contractor.workdays import WorkCalendar
from jobs.conditions import states
from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _

PROMISE, READY_DATE, REPORT = "promise", "ready_date", "report"
# Slips are told apart up to two working weeks; whatever is later counts alike.
MOST_SLIP_DAYS = 10
LATER = MOST_SLIP_DAYS + 1

_DONE = (states.REPORTED_DONE, states.SEEN_DONE)
_OPEN = (states.OWED, states.PROMISED)


@dataclass(frozen=True)
class MoveMade:
    """A move of one condition: its day at the site, and the date given or standing then."""

    day: date
    before: str
    after: str
    promised: date | None = None
    ready_date: date | None = None


@dataclass(frozen=True)
class WordOutcome:
    """What became of one date or report.

    kind: PROMISE, READY_DATE or REPORT. said: the date promised, or the day of the report. came:
    the day on which it was reported or seen done, or on which a crew looked. slip_days: working
    days past the date, 0 when kept; None of a report. found_true: of a report only.
    """

    kind: str
    said: date
    came: date
    slip_days: int | None = None
    found_true: bool | None = None


@dataclass(frozen=True)
class History:
    """Many outcomes, counted: slips in working days of promises and of ready dates, reports."""

    promises: Counter[int] = field(default_factory=Counter)
    ready_dates: Counter[int] = field(default_factory=Counter)
    reports_true: int = 0
    reports_false: int = 0

    def __add__(self, other: "History") -> "History":
        return History(
            self.promises + other.promises,
            self.ready_dates + other.ready_dates,
            self.reports_true + other.reports_true,
            self.reports_false + other.reports_false,
        )


def outcomes(moves: Iterable[MoveMade], work: WorkCalendar) -> list[WordOutcome]:
    """Return what the moves of one condition, in their order, say of the dates and reports given.

    Every date given is a promise of its own, also one that was put off before it fell due: the
    plan stood on it. All are judged by the day on which the condition came true. A report that
    was taken back made nothing true. What was waived or taken over settles nothing. Without any
    promise the job's ready date is judged.
    """
    given: list[date] = []
    since: MoveMade | None = None
    found = []
    for move in moves:
        if move.before == states.REPORTED_DONE and since and move.after in (*_OPEN, *_DONE):
            seen = move.after in _DONE
            found.append(WordOutcome(REPORT, since.day, move.day, found_true=seen))
        if move.after == states.PROMISED and move.promised and move.promised not in given:
            given.append(move.promised)
        if move.after in _DONE:
            since = since or move
        elif move.after in _OPEN:
            since = None
        else:
            return found
    return [*_slips(given, since, work), *found] if since else found


def _slips(given: Sequence[date], true: MoveMade, work: WorkCalendar) -> Iterable[WordOutcome]:
    if not given and true.ready_date:
        yield WordOutcome(
            READY_DATE, true.ready_date, true.day, slip(true.ready_date, true.day, work)
        )
    for said in given:
        yield WordOutcome(PROMISE, said, true.day, slip(said, true.day, work))


def slip(said: date, came: date, work: WorkCalendar) -> int:
    """Return the working days from the date to the day on which it came true; 0 when not late.

    A date on a day off stands for the next working day.
    """
    return max(0, work.count(work.on_or_after(said), came))


def evidence(slips: Counter[int]) -> Sentence:
    """Tell how dates were kept, in words: `kept 14 of 19, late by 2 days when late`."""
    total, kept = slips.total(), slips[0]
    if not total:
        return Sentence(_("no date on record yet"))
    if kept == total:
        return Sentence(_("kept %(kept)d of %(total)d"), {"kept": kept, "total": total})
    late = median_low(days for days in slips.elements() if days)
    values = {"kept": kept, "total": total, "days": late}
    if late == 1:
        return Sentence(_("kept %(kept)d of %(total)d, late by 1 day when late"), values)
    return Sentence(_("kept %(kept)d of %(total)d, late by %(days)d days when late"), values)


def report_evidence(history: History) -> Sentence:
    """Tell how reports were found, in words."""
    total = history.reports_true + history.reports_false
    if not total:
        return Sentence(_("no report looked at yet"))
    return Sentence(
        _("%(found)d of %(total)d reports found true"),
        {"found": history.reports_true, "total": total},
    )
