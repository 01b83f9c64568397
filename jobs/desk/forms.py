"""Forms for answers: moves of conditions, dates of a job, warnings, places, a checklist's items."""

from collections.abc import Iterable
from datetime import date, timedelta

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from jobs.wording import day_text

# A date further off than this is a slip of the finger: a wrong year, a day and month swapped.
FARTHEST_DAYS = 400


def form_sentences(form: forms.BaseForm) -> list[str]:
    """Say what is wrong with a posted form, a sentence for each fault, each naming its field."""
    return [
        f"{form.fields[field].label}: {error}" if field in form.fields else str(error)
        for field, errors in form.errors.items()
        for error in errors
    ]


def near_day(day: date | None, today: date) -> date | None:
    """Return the day itself; ValidationError where it is further off than any house is planned."""
    if day and abs((day - today).days) > FARTHEST_DAYS:
        first, last = (today + timedelta(days=n * FARTHEST_DAYS) for n in (-1, 1))
        words = gettext("%(day)s is too far off; expected a day between %(first)s and %(last)s.")
        raise ValidationError(
            words % {"day": day.isoformat(), "first": first.isoformat(), "last": last.isoformat()}
        )
    return day


def coming_day(day: date | None, today: date) -> date | None:
    """Return the day itself; ValidationError where it is past or absurd."""
    if day and day < today:
        words = gettext("%(day)s is past; expected today (%(today)s) or later.")
        raise ValidationError(words % {"day": day_text(day), "today": day_text(today)})
    return near_day(day, today)


def forms_sentences(all_forms: Iterable[forms.BaseForm]) -> list[str]:
    """Return the faults of several forms, in their order."""
    return [sentence for form in all_forms for sentence in form_sentences(form)]
