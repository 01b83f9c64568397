"""Services about the catalogue of conditions: added, changed, retired, brought back.

New jobs take what it says then; conditions that jobs have keep the entry they were made from.
"""

import re
from collections.abc import Iterable, Mapping
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext

from contractor.access import Action, may
from contractor.events import Actor, event_record
from jobs.conditions.catalogue import entry_problems
from jobs.conditions.guard import weakenings
from jobs.conditions.problems import EntryProblem
from jobs.conditions.seed_house import ALL_STEPS
from jobs.desk.services import Stale, set_fields
from jobs.models import CatalogueItem
from jobs.sheets.cells import CellRefused, cell_value
from jobs.sheets.columns import About, Column, Holds
from jobs.wording import sentence_text

CHANGEABLE = frozenset(field.name for field in CatalogueItem._meta.fields) - {
    "id",
    "code",
    "position",
    "retired",
    "version",
}
# Lists of words, each kept in one order, so that what says the same is the same.
_LISTS = ("holds", "spaces", "covers", "only_with", "not_with", "follows", "lag_steps")
_WORDS = ("name", "consequence", "source", "year_rule", "document")
_ANY_TEXT = Column("words", Holds.TEXT, About.JOB, most_characters=300)
# Columns whose fault stands under another name in the pure entry.
_FIELD_OF = {"lag_after": "lag_steps"}
Values = Mapping[str, object]


class CatalogueRefused(Exception):
    """Somebody whose role does not let them change the catalogue."""


@transaction.atomic
def catalogue_add(*, values: Values, code: str = "", actor: Actor, now: datetime) -> CatalogueItem:
    """Add an entry, after all others; new jobs take it from now on.

    values: fields named in CHANGEABLE. code: made from the name where none is given. Raises
    ValidationError by field, CatalogueRefused.
    """
    _known(values)
    _allowed(actor)
    places = CatalogueItem.objects.aggregate(last=Max("position"))
    item = CatalogueItem(position=(places["last"] or 0) + 10)
    item.code = code or _code_of(str(values.get("name", "")))
    what = set_fields(item, _ordered(values))
    _check(item)
    item.save()
    event_record(actor=actor, now=now, verb="created", thing=item, what={"name": item.name, **what})
    return item


@transaction.atomic
def catalogue_change(
    *, item_id: int, version: int, values: Values, actor: Actor, now: datetime
) -> CatalogueItem:
    """Change fields of an entry: its words, its lead time, its gate and all the rest of it.

    values: fields named in CHANGEABLE. What does not differ changes nothing and leaves no event.
    Raises Stale where somebody was quicker, ValidationError by field for what cannot be and for
    what would weaken a seeded stop or law, CatalogueRefused, CatalogueItem.DoesNotExist.
    """
    _known(values)
    return _change(item_id, version, values, verb="changed", actor=actor, now=now)


@transaction.atomic
def catalogue_retire(*, item_id: int, version: int, actor: Actor, now: datetime) -> CatalogueItem:
    """Let new jobs no longer take an entry; jobs that have it keep it. Raises as a change does."""
    return _change(item_id, version, {"retired": True}, verb="retired", actor=actor, now=now)


@transaction.atomic
def catalogue_restore(*, item_id: int, version: int, actor: Actor, now: datetime) -> CatalogueItem:
    """Bring a retired entry back for new jobs. Raises as a change does."""
    return _change(item_id, version, {"retired": False}, verb="brought back", actor=actor, now=now)


def _change(
    item_id: int, version: int, values: Values, *, verb: str, actor: Actor, now: datetime
) -> CatalogueItem:
    _allowed(actor)
    item = CatalogueItem.objects.get(pk=item_id)
    if item.version != version:
        raise Stale(item)
    what = set_fields(item, _ordered(values))
    if not what:
        return item
    _check(item)
    # Compare and set: between the read above and this line somebody else may have been quicker.
    fields = {name: getattr(item, name) for name in what} | {"version": version + 1}
    if not CatalogueItem.objects.filter(pk=item.pk, version=version).update(**fields):
        raise Stale(CatalogueItem.objects.get(pk=item.pk))
    item.version = version + 1
    event_record(actor=actor, now=now, verb=verb, thing=item, what={"code": item.code, **what})
    return item


def _known(values: Values) -> None:
    unknown = set(values) - CHANGEABLE
    if unknown:
        raise TypeError(f"catalogue: {', '.join(sorted(unknown))} cannot be set")


def _ordered(values: Values) -> Values:
    """Return the values, lists in order: steps as they are worked, other words by letter."""
    ordered = dict(values)
    for name in values.keys() & set(_LISTS):
        words = values[name]
        if not isinstance(words, list | tuple) or not all(isinstance(w, str) for w in words):
            raise ValidationError({name: gettext("Expected a list of words.")})
        ordered[name] = sorted(set(words), key=_place_of if name == "holds" else None)
    return ordered


def _place_of(step: str) -> tuple[int, str]:
    return (ALL_STEPS.index(step) if step in ALL_STEPS else len(ALL_STEPS), step)


def _allowed(actor: Actor) -> None:
    if actor.user is not None and not may(actor.user, Action.EDIT_CATALOGUE):
        raise CatalogueRefused(gettext("The catalogue is changed by the office only."))


def _code_of(name: str) -> str:
    """Return a code from a name, with a number behind it where it is taken."""
    plain = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")[:32].strip("_") or "condition"
    code, number = plain, 2
    while CatalogueItem.objects.filter(code=code).exists():
        code, number = f"{plain}_{number}", number + 1
    return code


def _check(item: CatalogueItem) -> None:
    """Raise ValidationError with all that forbids the item as it would be, by field."""
    faults: dict[str, list[str]] = {}
    try:
        item.full_clean()
    except ValidationError as error:
        faults = error.message_dict
    for name in _WORDS:
        if word_fault := _word_fault(getattr(item, name)):
            faults.setdefault(name, [word_fault])
    entry = item.entry
    problems = [*entry_problems(entry), *weakenings(entry, retired=item.retired)]
    for field, sentence in item_faults(problems):
        # Where the field refuses the value itself its own words are enough.
        faults.setdefault(field, [sentence])
    same = CatalogueItem.objects.active().filter(name__iexact=item.name).exclude(pk=item.pk)
    if not item.retired and same.exists():
        faults.setdefault("name", [gettext("Another condition of the catalogue has this name.")])
    if faults:
        raise ValidationError(faults)


def _word_fault(text: str) -> str:
    """Tell why a text cannot stand in a sheet, where the catalogue goes out and in; else ''."""
    try:
        cell_value(_ANY_TEXT, text)
    except CellRefused as refusal:
        return refusal.expected.render(gettext)
    return ""


def item_faults(problems: Iterable[EntryProblem]) -> list[tuple[str, str]]:
    """Problems of a pure entry, in words, by the field of the item that they are about."""
    return [(_FIELD_OF.get(one.field, one.field), sentence_text(one.sentence)) for one in problems]
