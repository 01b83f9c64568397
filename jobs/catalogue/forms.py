"""The form of an entry of the catalogue; its choices are the words of conditions."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.conditions.seed_house import ALL_STEPS
from jobs.conditions.words import (
    COVERS,
    FACTS,
    GATE_NAMES,
    MEASURES,
    PARTY_NAMES,
    SPACE_KINDS,
    STEP_NAMES,
)
from jobs.models import CatalogueItem, Space
from jobs.wording import word

Choices = list[tuple[str, str]]
HOUSE_WORDS = {"both": _("new and old"), "new": _("new houses"), "old": _("old houses")}


def _named(words: Iterable[str], names: Any) -> Choices:
    return [(key, word(str(names[key]))) for key in words]


def _one(label: Any, choices: Any) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=choices)


def _some(label: Any, choices: Any) -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(
        label=label, choices=choices, required=False, widget=forms.CheckboxSelectMultiple
    )


def _words(label: Any, most: int, *, required: bool = True) -> forms.CharField:
    return forms.CharField(label=label, max_length=most, required=required)


def _number(label: Any, most: int, *, required: bool = False, least: int = 0) -> forms.IntegerField:
    return forms.IntegerField(label=label, required=required, min_value=least, max_value=most)


def _tick(label: Any) -> forms.BooleanField:
    return forms.BooleanField(label=label, required=False)


def _parties() -> Choices:
    return _named(PARTY_NAMES, PARTY_NAMES)


def _gates() -> Choices:
    return _named(GATE_NAMES, GATE_NAMES)


def _steps() -> Choices:
    return _named(ALL_STEPS, STEP_NAMES)


def _facts() -> Choices:
    return _named(FACTS, FACTS)


def _spaces() -> Choices:
    return _named(SPACE_KINDS, dict(Space.Kind.choices))


def _covers() -> Choices:
    return _named(COVERS, dict(Space.Cover.choices))


def _measures() -> Choices:
    return [("", "—"), *_named(MEASURES, MEASURES)]


class CatalogueItemForm(forms.Form):
    """All that an entry says, by the item's own field names; version is of the one shown."""

    version = forms.IntegerField(min_value=0, widget=forms.HiddenInput)
    name = _words(_("Name, in a few words"), 120)
    owed_by = _one(_("Owed by"), _parties)
    gate = _one(_("Gate"), _gates)
    consequence = _words(_("What happens if it is missed, in one sentence"), 200)
    source = _words(_("Source"), 200)
    lead_days = _number(_("Lead time, working days"), 250, required=True)
    holds = _some(_("Holds up"), _steps)
    houses = _one(_("Houses"), lambda: list(HOUSE_WORDS.items()))
    built_before = _number(_("Built before"), 2100, least=1700)
    year_rule = _words(_("Why that year"), 200, required=False)
    spaces = _some(_("Kinds of space (none ticked: all)"), _spaces)
    covers = _some(_("Cover of slopes (none ticked: all)"), _covers)
    only_with = _some(_("Only where"), _facts)
    not_with = _some(_("Not where"), _facts)
    may_take_over = _tick(_("We may do it ourselves and charge it back"))
    measure = forms.ChoiceField(label=_("Counted by"), choices=_measures, required=False)
    follows = _some(_("Our own step that brings it about"), _steps)
    lag_steps = _some(_("Comes about only after our own"), _steps)
    lag_trade_days = _number(_("Working days that others then take"), 250, required=True)
    lag_only_then = _tick(_("Exists only in a job with such a step"))
    document = _words(_("Paper that clears it"), 120, required=False)
    never_waived = _tick(_("Waived by nobody"))
    booked = _tick(_("A promise is an appointment, which lapses with its day"))
    valid_hours = _number(_("Seen done counts for so many hours"), 8760, least=1)

    GROUPS = (
        (_("What it is"), ("name", "owed_by", "gate", "consequence", "source", "lead_days")),
        (_("What it holds up, and where"), ("holds", "houses", "built_before", "year_rule",
         "spaces", "covers", "only_with", "not_with")),
        (_("Taking over"), ("may_take_over", "measure")),
        (_("After our own steps"), ("follows", "lag_steps", "lag_trade_days", "lag_only_then")),
        (_("Papers and how long it counts"), ("document", "never_waived", "booked",
         "valid_hours")),
    )  # fmt: skip

    def __init__(self, data: Any = None, *, item: CatalogueItem) -> None:
        kept = set(self.base_fields)
        super().__init__(data, initial={name: getattr(item, name) for name in kept})

    def groups(self) -> list[tuple[Any, list[forms.BoundField]]]:
        """Return the fields as they stand together on the page."""
        return [(title, [self[name] for name in names]) for title, names in self.GROUPS]

    def values(self) -> dict[str, Any]:
        """Return what was filled in, by the item's field names."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}
