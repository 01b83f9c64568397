"""One posted taking over of a condition, for every page that takes one; decides nothing itself."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from contractor.events import Actor
from jobs.catalogue.rows import entry_of
from jobs.charges.forms import TakeOverForm
from jobs.charges.services import condition_take_over
from jobs.conditions.states import MoveRefused
from jobs.desk.forms import form_sentences
from jobs.desk.services import Stale
from jobs.desk.views.refusal import BAD_INPUT, CONFLICT, Refusal, someone_was_quicker
from jobs.models import Condition
from jobs.wording import sentence_text, word


def take_over(
    condition: Condition, data: Mapping[str, Any], files: Any, *, actor: Actor, now: datetime
) -> Refusal | None:
    """Take over what was posted; None when it was taken, else why it was not."""
    entry = entry_of(condition)
    form = TakeOverForm(data, files, measure=entry.measure if entry else "")
    if not form.is_valid():
        return Refusal(BAD_INPUT, tuple(form_sentences(form)))
    given = form.cleaned_data
    try:
        condition_take_over(
            condition_id=condition.pk,
            version=given["version"],
            taken=form.taken(),
            agreed_by=given["agreed_by"],
            note=given["note"],
            inspect_again=given["inspect_again"],
            picture=given["photo"],
            actor=actor,
            now=now,
        )
    except MoveRefused as refused:
        return Refusal(CONFLICT, (f"{word(condition.name)}: {sentence_text(refused.sentence)}",))
    except Stale as stale:
        return Refusal(CONFLICT, (someone_was_quicker(stale.present),))
    except ValidationError as error:
        return Refusal(BAD_INPUT, tuple(_sentences(form, error)))
    return None


def _sentences(form: TakeOverForm, error: ValidationError) -> list[str]:
    """Return what the service refused, each fault with the name of its field."""
    return [
        f"{form.fields[field].label}: {word(text)}" if field in form.fields else word(text)
        for field, texts in error.message_dict.items()
        for text in texts
    ]
