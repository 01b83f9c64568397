"""Forms for answers: moves of conditions, dates of a job, warnings, places, a checklist's items."""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from contractor.photos import Picture, picture_read
from jobs.conditions.states import Grounds
from jobs.conditions.words import STATE_NAMES
from jobs.shown import day_shown

# A date further off than this is a slip of the finger: a wrong year, a day and month swapped.
FARTHEST_DAYS = 400


def form_sentences(form: forms.BaseForm) -> list[str]:
    """What is wrong with a posted form, one sentence for each fault, each naming its field."""
    return [
        f"{form.fields[field].label}: {error}" if field in form.fields else str(error)
        for field, errors in form.errors.items()
        for error in errors
    ]


def near_day(day: date | None, today: date) -> date | None:
    """The day itself; ValidationError where it is further off than any house is planned."""
    if day and abs((day - today).days) > FARTHEST_DAYS:
        first, last = (today + timedelta(days=n * FARTHEST_DAYS) for n in (-1, 1))
        words = gettext("%(day)s is too far off; expected a day between %(first)s and %(last)s.")
        raise ValidationError(
            words % {"day": day.isoformat(), "first": first.isoformat(), "last": last.isoformat()}
        )
    return day


def coming_day(day: date | None, today: date) -> date | None:
    """The day itself; ValidationError where it is past or absurd."""
    if day and day < today:
        words = gettext("%(day)s is past; expected today (%(today)s) or later.")
        raise ValidationError(words % {"day": day_shown(day), "today": day_shown(today)})
    return near_day(day, today)


class MoveForm(forms.Form):
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
        """What the move rests on, as the states module takes it."""
        names = ("day", "name", "reason", "paper", "document")
        return Grounds(**{name: self.cleaned_data[name] for name in names})


class DatesForm(forms.Form):
    """The two dates of a job; an empty one is taken away."""

    version = forms.IntegerField(min_value=1, label=_("Version"))
    ready_date = forms.DateField(required=False, label=_("Ready date"))
    promised_date = forms.DateField(required=False, label=_("Promised date"))

    def __init__(self, data: Any, *, today: date) -> None:
        super().__init__(data)
        self.today = today

    def clean_ready_date(self) -> date | None:
        return near_day(self.cleaned_data["ready_date"], self.today)

    def clean_promised_date(self) -> date | None:
        return near_day(self.cleaned_data["promised_date"], self.today)

    def changes(self) -> dict[str, object]:
        """The dates by the job's field names."""
        return {name: self.cleaned_data[name] for name in ("ready_date", "promised_date")}


class WarningForm(forms.Form):
    """Why somebody answers for a warning of the estimate."""

    answer = forms.CharField(max_length=300, label=_("Why it is all right"))


class PlaceForm(forms.Form):
    """Where a site lies, in degrees."""

    latitude = forms.DecimalField(
        min_value=-90, max_value=90, max_digits=9, decimal_places=6, label=_("Latitude")
    )
    longitude = forms.DecimalField(
        min_value=-180, max_value=180, max_digits=9, decimal_places=6, label=_("Longitude")
    )


class ChecklistItemForm(forms.Form):
    """One item of a superintendent's checklist; left alone it answers nothing."""

    DONE, ON_DAY, NOT_OURS = "done", "on", "not_ours"
    version = forms.IntegerField(min_value=1, required=False)
    answer = forms.ChoiceField(
        choices=[(DONE, DONE), (ON_DAY, ON_DAY), (NOT_OURS, NOT_OURS)], required=False
    )
    day = forms.DateField(required=False)
    note = forms.CharField(required=False, max_length=200)
    photo = forms.FileField(required=False)

    def __init__(
        self, data: Any, files: Any = None, *, prefix: str, today: date, label: str
    ) -> None:
        super().__init__(data, files, prefix=prefix)
        self.today = today
        # A fault names the thing and the field: there are many fields of one name on the page.
        named = {"answer": _("Answer"), "day": _("Date"), "note": _("Note"), "photo": _("Photo")}
        for name, words in named.items():
            self.fields[name].label = f"{label}, {words}"
        self.fields["version"].label = label

    def clean_day(self) -> date | None:
        return coming_day(self.cleaned_data["day"], self.today)

    def clean_photo(self) -> Picture | None:
        upload = self.cleaned_data["photo"]
        return picture_read(upload) if upload else None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        answer = cleaned.get("answer")
        if not answer and cleaned.get("day"):
            answer = cleaned["answer"] = self.ON_DAY  # a day without a tick means that day
        if not answer and "answer" not in self.errors and self._says_something(cleaned):
            self.add_error("answer", gettext("Tick “done”, a day or “not ours” too."))
        if answer and not cleaned.get("version"):
            self.add_error("version", gettext("The page was not complete. Open the link again."))
        if answer == self.ON_DAY and "day" not in self.errors and not cleaned.get("day"):
            self.add_error("day", gettext("Say on which day."))
        if answer == self.NOT_OURS and "note" not in self.errors and not cleaned.get("note"):
            self.add_error("note", gettext("Say whose it is, or why it is not yours."))
        return cleaned

    @staticmethod
    def _says_something(cleaned: dict[str, Any]) -> bool:
        """A note or a photo alone would be lost, and the sender would not know."""
        return bool(cleaned.get("note") or cleaned.get("photo"))

    @property
    def is_answered(self) -> bool:
        """Whether something was answered, and well."""
        return self.is_valid() and bool(self.cleaned_data["answer"])

    def answered(self) -> dict[str, Any]:
        """The version that the page showed, the answer, its day where it promises, note, photo."""
        given = {name: self.cleaned_data[name] for name in ("version", "answer", "note")}
        day = self.cleaned_data["day"] if given["answer"] == self.ON_DAY else None
        return {**given, "day": day, "picture": self.cleaned_data["photo"]}


class ChecklistNameForm(forms.Form):
    """Who answers; a link can be in more than one hand."""

    name = forms.CharField(max_length=80, label=_("Your name"))


def forms_sentences(all_forms: Iterable[forms.BaseForm]) -> list[str]:
    """The faults of several forms, in their order."""
    return [sentence for form in all_forms for sentence in form_sentences(form)]
