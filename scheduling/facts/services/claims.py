"""What the facts of a house claim about each of its conditions, and who may claim it; no writes."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping

from jobs.catalogue.rows import entry_of, terms_of
from jobs.conditions.catalogue import CatalogueEntry
from jobs.conditions.sentences import marked as _
from jobs.conditions.states import OWED, SEEN_DONE, TAKEN_OVER, Grounds, MoveRefused, move_allowed
from jobs.conditions.taken_over import like, work_of
from jobs.conditions.words import US
from jobs.models import Condition
from jobs.record.services.finding import FOUND_UNTRUE
from scheduling.facts.services.house import HouseFacts, mover_of_fact
from scheduling.facts.services.taken import NotAgreed, agreed_read
from scheduling.models import Fact
from scheduling.progress.claims import Claim, Effect
from scheduling.progress.day import CHECKED, FINISHED, STARTED, TURNED_AWAY

MOST_REASON = 300
MOST_DOCUMENT = 200
GONE = _("The house does not ask for that any more.")
Claims = Mapping[int, list[Claim]]


def house_claims(house: HouseFacts) -> Claims:
    """Return all that is claimed, by condition; whether it may be claimed is another question."""
    found: dict[int, list[Claim]] = defaultdict(list)
    for fact in house.facts:
        for condition, claim in _OF_KIND[fact.kind](fact, house):
            found[condition].append(claim)
    for condition, claim in (*_work_done(house), *_brought_about(house)):
        found[condition].append(claim)
    return found


def claim_refused(claim: Claim, row: Condition, house: HouseFacts) -> str:
    """Tell why the person who said it may not claim that of the condition; '' where it is right."""
    fact = house.by_id[claim.fact]
    to_state = _TO_STATE[claim.effect]
    if claim.effect == Effect.WE_DID_IT:
        try:
            agreed_read(fact.what, row)
        except NotAgreed as wrong:
            return str(wrong)
    grounds = Grounds(reason=claim.reason, document=claim.document)
    # From where each is open, so that no order of what is said decides about a right.
    state = SEEN_DONE if to_state == OWED else OWED
    try:
        move_allowed(
            terms_of(row),
            state,
            to_state,
            mover_of_fact(fact),
            grounds,
            today=house.day_of(fact.received_at),
        )
    except MoveRefused as refused:
        return str(refused.sentence)
    return ""


def works_of(row: Condition) -> frozenset[str]:
    """Return the kinds of step that it becomes, or became, where we take it over."""
    charged = {charge.step_kind for charge in row.back_charges.all()}
    entry = entry_of(row)
    work = work_of(entry.measure, row.holds) if entry and not charged else None
    return frozenset(charged or ({work.kind} if work else ()))


Claimed = Iterator[tuple[int, Claim]]


def _checked(fact: Fact, house: HouseFacts) -> Claimed:
    if fact.condition_id is None:
        return
    effect = Effect(fact.what.get("answer", Effect.TRUE))
    reason = str(fact.what.get("reason", ""))[:MOST_REASON]
    if effect == Effect.NOT_TRUE:
        reason = reason or FOUND_UNTRUE
    document = str(fact.what.get("document", ""))[:MOST_DOCUMENT]
    yield fact.condition_id, _claim(fact, effect, reason, document)


def _turned_away(fact: Fact, house: HouseFacts) -> Claimed:
    reason = str(fact.what.get("why", ""))[:MOST_REASON] or FOUND_UNTRUE
    for condition in dict.fromkeys(fact.what.get("missing") or ()):
        yield condition, _claim(fact, Effect.MISSING, reason)


def _started(fact: Fact, house: HouseFacts) -> Claimed:
    """Yield what blocks a begun step as found true; what stops it for safety or law needs more."""
    for row in house.conditions:
        if fact.step_kind in works_of(row):
            yield row.pk, _claim(fact, Effect.WORKED)
        elif row.gate == Condition.Gate.BLOCK and row.owed_by != US and _waits(row, fact.step_kind):
            yield row.pk, _claim(fact, Effect.STARTED)


def _waits(row: Condition, kind: str) -> bool:
    """Tell whether a step awaits it, by the catalogue too: steps of work taken over come and go."""
    entry = entry_of(row)
    return kind in row.holds or (entry is not None and like(kind) in entry.holds)


def _finished(fact: Fact, house: HouseFacts) -> Claimed:
    for row in house.conditions:
        if fact.step_kind in works_of(row):
            yield row.pk, _claim(fact, Effect.WORKED)


def _work_done(house: HouseFacts) -> Claimed:
    """Yield what we had taken over as true once all of our work on it is done."""
    for row in house.conditions:
        for kind in sorted(works_of(row) & house.tooks.keys()):
            took = house.tooks[kind]
            if took.is_whole:
                yield row.pk, Claim(took.last.fact, took.last.at, Effect.WORK_DONE)


def _brought_about(house: HouseFacts) -> Claimed:
    """Yield what our own steps bring about as true once all that the house has are done."""
    for row in house.conditions:
        kinds = _ours(row, entry_of(row), house)
        tooks = [house.tooks.get(kind) for kind in kinds]
        done = [took.last for took in tooks if took is not None and took.is_whole]
        if done and len(done) == len(kinds):
            last = max(done, key=lambda report: report.order)
            yield row.pk, Claim(last.fact, last.at, Effect.DONE)


def _ours(row: Condition, entry: CatalogueEntry | None, house: HouseFacts) -> list[str]:
    if row.owed_by != US or entry is None:
        return []
    return sorted(entry.follows & house.steps.keys())


def _claim(fact: Fact, effect: Effect, reason: str = "", document: str = "") -> Claim:
    return Claim(str(fact.pk), fact.happened_at, effect, reason, document)


_OF_KIND: Mapping[str, Callable[[Fact, HouseFacts], Claimed]] = {
    CHECKED: _checked,
    TURNED_AWAY: _turned_away,
    STARTED: _started,
    FINISHED: _finished,
}
_TO_STATE: Mapping[Effect, str] = {
    Effect.TRUE: SEEN_DONE,
    Effect.NOT_TRUE: OWED,
    Effect.WE_DID_IT: TAKEN_OVER,
    Effect.MISSING: OWED,
    Effect.STARTED: SEEN_DONE,
    Effect.WORKED: SEEN_DONE,
    Effect.WORK_DONE: SEEN_DONE,
    Effect.DONE: SEEN_DONE,
}
