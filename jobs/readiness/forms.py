"""What the office types while it is on the telephone."""

import re
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from jobs.conditions.states import Grounds
from jobs.conditions.words import STATE_NAMES
from jobs.desk.forms import near_day
from jobs.readiness.services.call import CallAnswer

DONE, ON_DAY, NOT_THEIRS, NO_ANSWER = "done", "on", "not_theirs", "no_answer"
MOST_ITEMS = 500
ITEM = re.compile(r"([0-9]{1,18}):([0-9]{1,9})")


class CallForm(forms.Form):
    """What was said of some things, or that nobody answered.

    `item` names each thing with the version that the page showed: `12:3`.
    """

    answer = forms.ChoiceField(
        choices=[(name, name) for name in (DONE, ON_DAY, NOT_THEIRS, NO_ANSWER)], label=_("Answer")
    )
    day = forms.DateField(required=False, label=_("Date"))
    note = forms.CharField(required=False, max_length=200, label=_("Whose it is, or why"))
    seen = forms.IntegerField(min_value=0, required=False, label=_("Number of the last call"))

    def __init__(self, data: Any, *, today: date) -> None:
        super().__init__(data)
        self.today = today

    def clean_day(self) -> date | None:
        return near_day(self.cleaned_data["day"], self.today)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        answer = cleaned.get("answer")
        if answer == ON_DAY and "day" not in self.errors and not cleaned.get("day"):
            self.add_error("day", gettext("Say on which day."))
        if answer == NOT_THEIRS and "note" not in self.errors and not cleaned.get("note"):
            self.add_error("note", gettext("Say whose it is, or why it is not theirs."))
        if answer and answer != NO_ANSWER and not items_of(self.data):
            raise ValidationError(gettext("Say what the answer is about."))
        return cleaned

    @property
    def answers(self) -> list[CallAnswer]:
        """What was said, thing by thing; nothing where nobody answered."""
        answer = self.cleaned_data["answer"]
        if answer == NO_ANSWER:
            return []
        day = self.cleaned_data["day"] if answer == ON_DAY else None
        note = self.cleaned_data["note"]
        return [CallAnswer(pk, version, answer, day, note) for pk, version in items_of(self.data)]


def items_of(data: Any) -> list[tuple[int, int]]:
    """Return the things a posted form is about, each with its version; other words are left out."""
    found = (ITEM.fullmatch(text) for text in data.getlist("item")[:MOST_ITEMS])
    return list(dict.fromkeys((int(one[1]), int(one[2])) for one in found if one))


class ConditionMoveForm(forms.Form):
    """A move of a condition with what it rests on; the version is the one that the page showed."""

    version = forms.IntegerField(min_value=1, label=_("Version"))
    to_state = forms.ChoiceField(choices=list(STATE_NAMES.items()), label=_("Answer"))
    day = forms.DateField(required=False, label=_("Date"))
    name = forms.CharField(required=False, max_length=80, label=_("Name"))
    reason = forms.CharField(required=False, max_length=200, label=_("Reason"))
    paper = forms.CharField(required=False, max_length=80, label=_("Paper"))
    document = forms.CharField(required=False, max_length=120, label=_("Document"))

    def __init__(self, data: Any, *, today: date) -> None:
        super().__init__(data)
        self.today = today

    def clean_day(self) -> date | None:
        return near_day(self.cleaned_data["day"], self.today)

    def grounds(self) -> Grounds:
        """Return what the move rests on, as the states module takes it."""
        names = ("day", "name", "reason", "paper", "document")
        return Grounds(**{name: self.cleaned_data[name] for name in names})
