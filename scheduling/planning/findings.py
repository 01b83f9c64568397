"""What judge, search and editor have to say: a code with values; knows no language but the CLI's.

A finding is data until somebody reads it. `PlainWords` words it for the planner's own commands,
by the names of its files; who serves pages has a `Wording` of its own.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Protocol, TypeAlias

from scheduling.planning.problem import Assignment


def _(text: str) -> str:
    """Return the text: the name marks it for the tool that collects messages."""
    return text


class Code(StrEnum):
    """What there is to say; `SENTENCES` has the English of each."""

    # The nine rules.
    TWO_CREW_DAYS = "two_crew_days"
    NO_SUCH_CREW = "no_such_crew"
    NO_SUCH_DAY = "no_such_day"
    CREW_OFF = "crew_off"
    TOO_MANY_STOPS = "too_many_stops"
    JOB_TWICE = "job_twice"
    NO_SUCH_JOB = "no_such_job"
    DAY_TOO_LONG = "day_too_long"
    NO_SUCH_STEP = "no_such_step"
    STEP_ELSEWHERE = "step_elsewhere"
    MANY_CREWS_AT_STEP = "many_crews_at_step"
    NOT_ABLE = "not_able"
    WRONG_MINUTES = "wrong_minutes"
    TWO_PARTS_A_DAY = "two_parts_a_day"
    PART_TOO_SHORT = "part_too_short"
    DAYS_APART = "days_apart"
    BADLY_DIVIDED = "badly_divided"
    TOO_SOON = "too_soon"
    OTHER_CREW_BEFORE = "other_crew_before"
    OUT_OF_ORDER = "out_of_order"
    MANY_CREWS_AT_JOB = "many_crews_at_job"
    CANNOT_START = "cannot_start"
    CREW_CANNOT_START = "crew_cannot_start"
    TOO_FEW_MACHINES = "too_few_machines"
    FIXED_LEFT_OUT = "fixed_left_out"
    FIXED_ELSEWHERE = "fixed_elsewhere"
    GAP_BEFORE = "gap_before"
    # Changes by hand, and steps left out.
    NO_DAY_AFTER = "no_day_after"
    NOBODY_ABLE = "nobody_able"
    DEARER_THAN_LEAVING = "dearer_than_leaving"
    BEFORE_LEFT_OUT = "before_left_out"
    # Entries of `fixed` that cannot be kept.
    TOO_LITTLE_LEFT = "too_little_left"
    FIXED_TWICE = "fixed_twice"
    LATER_FIXED = "later_fixed"
    EARLIER_FIXED = "earlier_fixed"
    EARLIER_FIXED_LAG = "earlier_fixed_lag"
    FIXED_SAME_DAY = "fixed_same_day"
    FIXED_TOO_MANY_JOBS = "fixed_too_many_jobs"
    FIXED_TOO_LONG = "fixed_too_long"
    NO_HOURS_BESIDE = "no_hours_beside"
    NOT_TOGETHER = "not_together"
    BEFORE_TOO_LATE = "before_too_late"
    DAYS_TOO_SHORT = "days_too_short"
    NOT_FOUND_IN_TIME = "not_found_in_time"
    # Why a posted step moved.
    CHEAPER_AS_A_WHOLE = "cheaper_as_a_whole"
    OTHER_CHANGES = "other_changes"
    SAVES = "saves"
    SAVES_CENTS = "saves_cents"


class Kind(StrEnum):
    """What a value of a finding is, and so how it is worded."""

    CREW = "crew"
    CREWS = "crews"
    JOB = "job"
    STEP = "step"
    STEPS = "steps"
    DAY = "day"
    DAYS = "days"
    MINUTES = "minutes"
    COUNT = "count"
    MACHINE = "machine"
    ENTRY = "entry"
    ENTRIES = "entries"
    COST = "cost"
    CENTS = "cents"
    FINDING = "finding"


# Several names in one value, each of which is worded as one.
NAMES_OF = {Kind.CREWS: Kind.CREW, Kind.STEPS: Kind.STEP}

KINDS: Mapping[str, Kind] = {
    "crew": Kind.CREW,
    "other_crew": Kind.CREW,
    "crews": Kind.CREWS,
    "job": Kind.JOB,
    "step": Kind.STEP,
    "steps": Kind.STEPS,
    "before": Kind.STEP,
    "day": Kind.DAY,
    "from_day": Kind.DAY,
    "other_day": Kind.DAY,
    "lag_days": Kind.DAYS,
    "minutes": Kind.MINUTES,
    "most_minutes": Kind.MINUTES,
    "least_minutes": Kind.MINUTES,
    "needed_minutes": Kind.MINUTES,
    "count": Kind.COUNT,
    "most": Kind.COUNT,
    "there": Kind.COUNT,
    "machine": Kind.MACHINE,
    "other": Kind.ENTRY,
    "others": Kind.ENTRIES,
    "cost": Kind.COST,
    "cents": Kind.CENTS,
    "because": Kind.FINDING,
}

SENTENCES: Mapping[Code, str] = {
    Code.TWO_CREW_DAYS: _("%(crew)s has %(count)s crew-days on %(day)s"),
    Code.NO_SUCH_CREW: _("there is no crew %(crew)s"),
    Code.NO_SUCH_DAY: _("there is no %(day)s: the plan has %(count)s days"),
    Code.CREW_OFF: _("%(crew)s is off on %(day)s"),
    Code.TOO_MANY_STOPS: _("%(crew)s has %(count)s stops on %(day)s, %(most)s at most"),
    Code.JOB_TWICE: _("%(crew)s stops at %(job)s %(count)s times on %(day)s"),
    Code.NO_SUCH_JOB: _("there is no job %(job)s"),
    Code.DAY_TOO_LONG: _("%(crew)s needs %(minutes)s on %(day)s, %(most_minutes)s at most"),
    Code.NO_SUCH_STEP: _("there is no step %(step)s"),
    Code.STEP_ELSEWHERE: _("%(step)s is no step of %(job)s (%(crew)s)"),
    Code.MANY_CREWS_AT_STEP: _("%(step)s is done by %(crews)s, one crew expected"),
    Code.NOT_ABLE: _("%(crew)s is not able to do %(step)s"),
    Code.WRONG_MINUTES: _("%(step)s gets %(minutes)s of %(crew)s, %(needed_minutes)s expected"),
    Code.TWO_PARTS_A_DAY: _("%(step)s has two parts on one day"),
    Code.PART_TOO_SHORT: _("%(step)s has a part under %(least_minutes)s"),
    Code.DAYS_APART: _("%(step)s is not on consecutive days of %(crew)s"),
    Code.BADLY_DIVIDED: _("%(step)s is not divided into whole days and a rest"),
    Code.TOO_SOON: _("%(step)s starts on %(day)s, %(before)s allows it from %(from_day)s"),
    Code.OTHER_CREW_BEFORE: _("%(step)s starts on the day on which another crew ends %(before)s"),
    Code.OUT_OF_ORDER: _("the parts at %(job)s are not in the order of its steps"),
    Code.MANY_CREWS_AT_JOB: _("%(crews)s are at %(job)s on %(day)s"),
    Code.CANNOT_START: _("%(step)s cannot start on %(day)s"),
    Code.CREW_CANNOT_START: _("%(crew)s cannot start %(step)s on %(day)s"),
    Code.TOO_FEW_MACHINES: _("%(machine)s: %(count)s needed on %(day)s, %(there)s there"),
    Code.FIXED_LEFT_OUT: _("%(step)s is fixed to %(crew)s on %(day)s and is left out"),
    Code.FIXED_ELSEWHERE: _(
        "%(step)s is fixed to %(crew)s on %(day)s, found %(other_crew)s on %(other_day)s"
    ),
    Code.GAP_BEFORE: _("%(step)s is placed, %(before)s before it is not"),
    Code.NO_DAY_AFTER: _("%(step)s finds no day after the step before it"),
    Code.NOBODY_ABLE: _("no crew is able to do %(step)s"),
    Code.DEARER_THAN_LEAVING: _("leaving %(step)s out costs less than any day found for it"),
    Code.BEFORE_LEFT_OUT: _("%(before)s before it is left out"),
    Code.TOO_LITTLE_LEFT: _("%(crew)s has less than %(minutes)s left from %(day)s on"),
    Code.FIXED_TWICE: _("%(other)s is fixed as well"),
    Code.LATER_FIXED: _("%(other)s, which comes after it, is fixed too"),
    Code.EARLIER_FIXED: _("%(other)s, which comes before it, is fixed too"),
    Code.EARLIER_FIXED_LAG: _(
        "%(other)s, which comes before it, is fixed too, %(lag_days)s before it at the latest"
    ),
    Code.FIXED_SAME_DAY: _("%(other)s is fixed too, and two crews cannot be at one job on a day"),
    Code.FIXED_TOO_MANY_JOBS: _(
        "what is fixed to %(crew)s on %(day)s takes %(count)s jobs, %(most)s at most"
    ),
    Code.FIXED_TOO_LONG: _(
        "what is fixed to %(crew)s on %(day)s takes %(minutes)s at least, %(most_minutes)s at most"
    ),
    Code.NO_HOURS_BESIDE: _(
        "it does not fit into the hours of %(crew)s on %(day)s beside %(others)s"
    ),
    Code.NOT_TOGETHER: _("it cannot be kept together with %(others)s"),
    Code.BEFORE_TOO_LATE: _("%(steps)s before it cannot be done in time for %(day)s"),
    Code.DAYS_TOO_SHORT: _("its %(minutes)s do not fit into the days of %(crew)s from %(day)s on"),
    Code.NOT_FOUND_IN_TIME: _("no way to keep it was found in time: %(because)s"),
    Code.CHEAPER_AS_A_WHOLE: _("the plan as a whole costs less so"),
    Code.OTHER_CHANGES: _("other changes ask for it"),
    Code.SAVES: _("the plan has %(cost)s so"),
    Code.SAVES_CENTS: _("the plan has %(cost)s so; all changes together save %(cents)s"),
}

# The values that each code takes.
PLACES: Mapping[Code, set[str]] = {
    code: set(re.findall(r"%\((\w+)\)s", sentence)) for code, sentence in SENTENCES.items()
}

# What less of each cost is called in a sentence.
SAVINGS: Mapping[str, str] = {
    "travel": _("less driving"),
    "overtime": _("less overtime"),
    "crew_day": _("fewer crew-days"),
    "turned_away": _("a lower chance of being turned away"),
    "late": _("less lateness"),
    "wait": _("an earlier end"),
    "unplaced": _("fewer steps left out"),
    "handoff": _("fewer hand-offs"),
    "change_day": _("fewer changes of day"),
    "change_crew": _("fewer changes of crew"),
}
ENTRY = _("%(step)s with %(crew)s on %(day)s")

Value: TypeAlias = "str | int | tuple[str, ...] | Assignment | tuple[Assignment, ...] | Finding"


@dataclass(frozen=True)
class Finding:
    """A code and its values by name, in the order of the names; `KINDS` says what each is."""

    code: Code
    values: tuple[tuple[str, Any], ...]

    def value(self, name: str) -> Any:
        """Return a value by its name. Raises KeyError where there is none."""
        return dict(self.values)[name]


def finding(code: Code, **values: Value) -> Finding:
    """Return what there is to say. Days are numbers of the problem's days, time is minutes.

    Raises TypeError where the values are not those that the code's sentence has places for.
    """
    if values.keys() != PLACES[code]:
        raise TypeError(f"{code} takes {sorted(PLACES[code])}, not {sorted(values)}")
    return Finding(code, tuple(sorted(values.items())))


class Wording(Protocol):
    """Puts a finding into words for one kind of reader."""

    def template(self, text: str) -> str:
        """Return an English template, or a word, in the reader's language."""
        ...

    def value(self, kind: Kind, value: Any) -> str:
        """Return a value as the reader knows it."""
        ...


def worded(found: Finding, wording: Wording) -> str:
    """Return a finding as a sentence, without the stop at its end."""
    words = {name: _value(wording, KINDS[name], value) for name, value in found.values}
    return wording.template(SENTENCES[found.code]) % words


def _value(wording: Wording, kind: Kind, value: Any) -> str:
    if kind == Kind.FINDING:
        return worded(value, wording)
    if kind == Kind.COST:
        return wording.template(SAVINGS[value])
    if kind == Kind.ENTRY:
        return _entry(wording, value)
    if kind == Kind.ENTRIES:
        return _listed(wording, [_entry(wording, entry) for entry in value])
    if kind in NAMES_OF:
        return _listed(wording, [wording.value(NAMES_OF[kind], name) for name in value])
    return wording.value(kind, value)


def _entry(wording: Wording, entry: Assignment) -> str:
    return wording.template(ENTRY) % {
        "step": wording.value(Kind.STEP, entry.step),
        "crew": wording.value(Kind.CREW, entry.crew),
        "day": wording.value(Kind.DAY, entry.day),
    }


def _listed(wording: Wording, words: Sequence[str]) -> str:
    return wording.template(_(" and ")).join(words)


@dataclass(frozen=True)
class PlainWords:
    """English for the planner's own commands: names as in the file, dates, minutes, dollars."""

    days: Sequence[str]

    def template(self, text: str) -> str:
        """Return the template itself."""
        return text

    def value(self, kind: Kind, value: Any) -> str:
        """Return a name as it stands, a day as its date, time in minutes."""
        if kind == Kind.DAY:
            return self.days[value] if 0 <= value < len(self.days) else f"day {value}"
        if kind == Kind.DAYS:
            return f"{value} day" if value == 1 else f"{value} days"
        if kind == Kind.MINUTES:
            return f"{value} minutes"
        if kind == Kind.CENTS:
            return f"${value / 100:,.0f}"
        return str(value)


def finding_to_json(found: Finding) -> dict[str, Any]:
    """Return a finding as plain values: `code` and `values`."""
    values = {name: _plain(KINDS[name], value) for name, value in found.values}
    return {"code": found.code.value, "values": values}


def parse_finding(data: Mapping[str, Any]) -> Finding:
    """Return the finding that `finding_to_json` wrote. Raises KeyError, ValueError for others."""
    values = {name: _parsed(KINDS[name], value) for name, value in data["values"].items()}
    return finding(Code(data["code"]), **values)


def _plain(kind: Kind, value: Any) -> Any:
    if kind == Kind.FINDING:
        return finding_to_json(value)
    if kind == Kind.ENTRY:
        return vars(value)
    if kind == Kind.ENTRIES:
        return [vars(entry) for entry in value]
    return list(value) if kind in NAMES_OF else value


def _parsed(kind: Kind, value: Any) -> Any:
    if kind == Kind.FINDING:
        return parse_finding(value)
    if kind == Kind.ENTRY:
        return Assignment(**value)
    if kind == Kind.ENTRIES:
        return tuple(Assignment(**entry) for entry in value)
    return tuple(value) if kind in NAMES_OF else value
