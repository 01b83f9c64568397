"""Reads a fact from a plain form of the crew-day page; knows no row and keeps nothing."""

import re
from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.http import QueryDict
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from contractor.files.photos import Picture, picture_read
from jobs.charges.forms import TakeOverForm
from jobs.desk.forms import form_sentences
from scheduling.progress.day import (
    CHECKED,
    FINISHED,
    NOT_TRUE,
    NOTE,
    PHOTO,
    TRUE,
    TURNED_AWAY,
    WE_DID_IT,
)
from scheduling.progress.reading import (
    MOST_BAGS,
    MOST_DEPTH_IN,
    MOST_DEPTHS,
    MOST_MINUTES,
    MOST_TEXT,
)

MOST_REASON = 200
MOST_DOCUMENT = 120
TAKEN_OVER_FIELDS = ("amount", "flues", "length_ft", "agreed_by", "note")


class FormWrong(Exception):
    """What was typed cannot be taken; `sentences` say why, each naming its field."""

    def __init__(self, sentences: list[str]) -> None:
        super().__init__(" ".join(sentences))
        self.sentences = sentences


@dataclass(frozen=True)
class Typed:
    """What a form said: `what` of the fact, and the picture that came with it."""

    what: dict[str, Any] = field(default_factory=dict)
    picture: Picture | None = None


class _PictureField(forms.FileField):
    """A photograph, made anew without what the phone wrote into it."""

    def clean(self, data: Any, initial: Any = None) -> Any:
        upload = super().clean(data, initial)
        return picture_read(upload) if isinstance(upload, UploadedFile) else None


class DepthsField(forms.Field):
    """Depths in inches, in one box or many, parted by spaces."""

    widget = forms.MultipleHiddenInput

    def to_python(self, value: Any) -> list[float]:
        """Return the depths; ValidationError names the one that is none."""
        words = " ".join(value or []).replace(",", ".").split()
        if len(words) > MOST_DEPTHS:
            words_most = gettext("%(n)s depths or fewer, please.")
            raise ValidationError(words_most, params={"n": MOST_DEPTHS})
        return [self._depth(word) for word in words]

    def _depth(self, word: str) -> float:
        depth = float(word) if re.fullmatch(r"\d{1,3}(\.\d{0,3})?", word) else 0.0
        if not 0 < depth <= MOST_DEPTH_IN:
            raise ValidationError(
                gettext("%(word)s: expected inches over 0 and up to %(most)s, such as 16.5."),
                params={"word": word[:20], "most": f"{MOST_DEPTH_IN:g}"},
            )
        return depth


class FinishedForm(forms.Form):
    """How long a step took the crew, what it used, and whether all of it is done."""

    minutes = forms.IntegerField(min_value=1, max_value=MOST_MINUTES, label=_("Minutes"))
    bags = forms.IntegerField(
        min_value=0, max_value=MOST_BAGS, required=False, label=_("Bags used")
    )
    depths_in = DepthsField(required=False, label=_("Depth at the markers, inches"))
    whole = forms.ChoiceField(
        choices=[("true", _("All of it is done")), ("false", _("Some is left"))],
        label=_("Is it done?"),
    )

    def what(self) -> dict[str, Any]:
        """Return the fact's figures."""
        given = self.cleaned_data
        return {
            "minutes": given["minutes"],
            "bags": given["bags"],
            "depths_in": given["depths_in"] or [],
            "whole": given["whole"] == "true",
        }


class TurnedAwayForm(forms.Form):
    """What was missing, and why in words."""

    missing = forms.TypedMultipleChoiceField(coerce=int, required=False, label=_("What is missing"))
    why = forms.CharField(max_length=MOST_TEXT, required=False, label=_("Why"))
    photo = _PictureField(required=False, label=_("Photo"))

    def __init__(self, data: Any, files: Any, *, conditions: Collection[int]) -> None:
        super().__init__(data, files)
        missing = self.fields["missing"]
        assert isinstance(missing, forms.TypedMultipleChoiceField)  # noqa: S101
        missing.choices = [(pk, str(pk)) for pk in conditions]

    def clean(self) -> dict[str, Any]:
        """Ask for a reason: what is missing, or words."""
        given: dict[str, Any] = super().clean() or {}
        if not self.errors and not given.get("missing") and not given.get("why"):
            raise ValidationError(gettext("Say what is missing, or why, in a few words."))
        return given

    def what(self) -> dict[str, Any]:
        """Return what the office reads."""
        return {"missing": self.cleaned_data["missing"], "why": self.cleaned_data["why"]}


class PhotoForm(forms.Form):
    """A photo with some words."""

    photo = _PictureField(label=_("Photo"))
    caption = forms.CharField(max_length=MOST_TEXT, required=False, label=_("What it shows"))

    def what(self) -> dict[str, Any]:
        """Return the words; the picture comes after."""
        return {"about": None, "caption": self.cleaned_data["caption"]}


class NoteForm(forms.Form):
    """Words for the office."""

    text = forms.CharField(max_length=MOST_TEXT, label=_("Note for the office"))

    def what(self) -> dict[str, Any]:
        """Return the words."""
        return {"text": self.cleaned_data["text"]}


class SeenForm(forms.Form):
    """That a condition is true, with its paper where one clears it."""

    document = forms.CharField(max_length=MOST_DOCUMENT, required=False, label=_("Document"))

    def __init__(self, data: Any, *, needs_paper: bool) -> None:
        super().__init__(data)
        self.fields["document"].required = needs_paper


class NotTrueForm(forms.Form):
    """That a condition is not true, and what is wrong."""

    reason = forms.CharField(max_length=MOST_REASON, label=_("What is wrong?"))


@dataclass(frozen=True)
class AskedOnForm:
    """What the house asks of a check's form: its measure, and whether a paper clears it."""

    measure: str = ""
    needs_paper: bool = False


def typed_read(
    kind: str, data: QueryDict, files: Any, *, asked: AskedOnForm, conditions: Collection[int]
) -> Typed:
    """Read what was typed for a fact of that kind. Raises FormWrong with each fault's sentence.

    conditions: those that may be named as missing.
    """
    if kind == CHECKED:
        return _checked(data, files, asked)
    form = _form(kind, data, files, conditions)
    if form is None:
        return Typed()
    _valid(form)
    return Typed(form.what(), form.cleaned_data.get("photo"))


def _form(
    kind: str, data: QueryDict, files: Any, conditions: Collection[int]
) -> FinishedForm | TurnedAwayForm | PhotoForm | NoteForm | None:
    if kind == FINISHED:
        return FinishedForm(data)
    if kind == TURNED_AWAY:
        return TurnedAwayForm(data, files, conditions=conditions)
    if kind == PHOTO:
        return PhotoForm(data, files)
    return NoteForm(data) if kind == NOTE else None


def _checked(data: QueryDict, files: Any, asked: AskedOnForm) -> Typed:
    answer = data.get("answer", "")
    if answer == TRUE:
        seen = _valid(SeenForm(data, needs_paper=asked.needs_paper))
        return Typed({"answer": answer, "document": seen["document"]})
    if answer == NOT_TRUE:
        return Typed({"answer": answer, "reason": _valid(NotTrueForm(data))["reason"]})
    if answer == WE_DID_IT:
        return _we_did_it(data, files, asked.measure)
    raise FormWrong([gettext("Answer: expected true, not true or we did it.")])


def _we_did_it(data: QueryDict, files: Any, measure: str) -> Typed:
    """Return it as text, as a phone sends it: who takes it over reads it again by the same form."""
    # The version guards a page of the office; a fact holds whatever the row says by now.
    form = TakeOverForm({**data.dict(), "version": 1}, files, measure=measure)
    given = _valid(form)
    told = {name: data.get(name, "").strip() for name in TAKEN_OVER_FIELDS}
    told["inspect_again"] = "1" if given["inspect_again"] else ""
    kept = {name: text for name, text in told.items() if text}
    return Typed({"answer": WE_DID_IT, **kept}, given["photo"])


def _valid(form: forms.Form) -> dict[str, Any]:
    if not form.is_valid():
        raise FormWrong(form_sentences(form))
    return form.cleaned_data
