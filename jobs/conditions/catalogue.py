"""What an entry of the catalogue of conditions is, and what it may never say; holds no list."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from jobs.conditions.problems import EntryProblem
from jobs.conditions.sentences import Sentence
from jobs.conditions.sentences import marked as _
from jobs.conditions.states import Terms
from jobs.conditions.words import (
    COVERS,
    ESTIMATED_NAMES,
    FACTS,
    GATE_NAMES,
    HOUSES,
    MEASURES,
    PARTY_NAMES,
    SPACE_KINDS,
    US,
)

# What these bring about needs a licence, a badge or a certificate that an insulation crew lacks.
LICENSED_PARTIES = frozenset({"electrician", "plumber", "hvac", "inspector", "tester"})


@dataclass(frozen=True)
class LagAfter:
    """A condition that comes about only after steps of our own.

    steps: the kinds it follows. trade_days: whole working days that others then take for it.
    only_then: the condition exists only in a job with such a step.
    """

    steps: frozenset[str]
    trade_days: int
    only_then: bool = False


@dataclass(frozen=True)
class CatalogueEntry:
    """Something that must be true before a step may start, or be finished.

    name: short words of the trade. owed_by: who brings it about when no step of ours does.
    gate: stop, law, block, warn or close. holds: kinds of step that wait for it.
    consequence: what happens when it is missed. source: where that is written.
    houses: new, old or both. spaces, covers: kinds it applies to; empty means all.
    only_with, not_with: facts of a job that bring it in or leave it out.
    built_before: old houses built before this year only; year_rule says why that year.
    lead_days: working days that the owing party usually needs.
    may_take_over: we may do it ourselves and charge it back. measure: what that work is counted
    by, one of `words.MEASURES`. never_waived: not by anyone.
    document: paper that must be seen where there is one. follows: kinds of our own step that
    bring it about in a job that has them.
    booked: a promise of it is an appointment for that day, which lapses with the day.
    valid_hours: it counts as seen done for so many hours, then it has to be seen anew.
    """

    code: str
    name: str
    owed_by: str
    gate: str
    holds: tuple[str, ...]
    consequence: str
    source: str
    houses: str = "both"
    spaces: frozenset[str] = frozenset()
    covers: frozenset[str] = frozenset()
    only_with: frozenset[str] = frozenset()
    not_with: frozenset[str] = frozenset()
    built_before: int | None = None
    year_rule: str = ""
    lead_days: int = 0
    may_take_over: bool = False
    measure: str = ""
    never_waived: bool = False
    document: str = ""
    follows: frozenset[str] = frozenset()
    lag_after: LagAfter | None = None
    booked: bool = False
    valid_hours: int | None = None

    @property
    def terms(self) -> Terms:
        """What decides about moves of a condition of this entry."""
        return Terms(self.gate, self.may_take_over, self.never_waived, self.document)


def entry_problems(entry: CatalogueEntry) -> list[EntryProblem]:
    """Return all that forbids an entry as a contractor may have edited it; empty when fine."""
    return [*_missing(entry), *_unknown(entry), *_forbidden(entry)]


def _missing(entry: CatalogueEntry) -> Iterator[EntryProblem]:
    for field in ("code", "name", "consequence", "source"):
        if not getattr(entry, field).strip():
            yield _at(field, _("expected words"))
    if not entry.holds:
        yield _at("holds", _("expected at least one kind of step"))
    if entry.built_before is not None and not entry.year_rule:
        yield _at("year_rule", _("expected the reason for the year"))
    if entry.lead_days < 0 or (entry.lag_after and entry.lag_after.trade_days < 0):
        yield _at("lead_days", _("expected 0 or more"))
    if entry.valid_hours is not None and entry.valid_hours < 1:
        yield _at("valid_hours", _("expected 1 or more, or nothing"))


def _unknown(entry: CatalogueEntry) -> Iterator[EntryProblem]:
    after = entry.lag_after.steps if entry.lag_after else ()
    allowed: tuple[tuple[str, Collection[str], Collection[str]], ...] = (
        ("owed_by", [entry.owed_by], PARTY_NAMES),
        ("gate", [entry.gate], GATE_NAMES),
        ("houses", [entry.houses], HOUSES),
        ("holds", entry.holds, ESTIMATED_NAMES),
        ("spaces", entry.spaces, SPACE_KINDS),
        ("covers", entry.covers, COVERS),
        ("follows", entry.follows, ESTIMATED_NAMES),
        ("lag_after", after, ESTIMATED_NAMES),
        ("measure", [entry.measure] if entry.measure else [], MEASURES),
        ("only_with", entry.only_with, FACTS),
        ("not_with", entry.not_with, FACTS),
    )
    for field, words, choices in allowed:
        for word in sorted(set(words) - set(choices)):
            unknown = _("%(word)s, expected one of %(choices)s")
            yield _at(field, unknown, word=repr(word), choices=", ".join(choices))


def _forbidden(entry: CatalogueEntry) -> Iterator[EntryProblem]:
    if entry.may_take_over and entry.gate in ("stop", "law"):
        yield _at("may_take_over", _("safety and inspections cannot be taken over"))
    if entry.may_take_over and entry.owed_by in LICENSED_PARTIES:
        licensed = _("work of the %(party)s needs a licence")
        yield _at("may_take_over", licensed, party=PARTY_NAMES[entry.owed_by])
    if entry.may_take_over and entry.owed_by == US:
        yield _at("may_take_over", _("it is ours already"))
    if entry.measure and not entry.may_take_over:
        yield _at("measure", _("only what we may take over has one"))
    if entry.built_before is not None and entry.houses != "old":
        yield _at("built_before", _("only old houses have a year, so houses must be old"))
    if entry.never_waived and entry.gate not in ("stop", "law"):
        yield _at("never_waived", _("only a stop or a law is never waived"))


def _at(field: str, template: str, **values: str) -> EntryProblem:
    return EntryProblem(field, Sentence(template, values))
