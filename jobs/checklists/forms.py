"""What a superintendent answers on a checklist; writes nothing."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from contractor.files.photos import Picture, picture_read
from jobs.desk.forms import coming_day


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
        """Tell whether there is a note or photo, which alone is lost, its sender not knowing."""
        return bool(cleaned.get("note") or cleaned.get("photo"))

    @property
    def is_answered(self) -> bool:
        """Whether something was answered, and well."""
        return self.is_valid() and bool(self.cleaned_data["answer"])

    def answered(self) -> dict[str, Any]:
        """Return the version the page showed, the answer, its day if a promise, note, photo."""
        given = {name: self.cleaned_data[name] for name in ("version", "answer", "note")}
        day = self.cleaned_data["day"] if given["answer"] == self.ON_DAY else None
        return {**given, "day": day, "picture": self.cleaned_data["photo"]}


class ChecklistNameForm(forms.Form):
    """Who answers; a link can be in more than one hand."""

    name = forms.CharField(max_length=80, label=_("Your name"))
