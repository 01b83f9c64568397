"""The receipt that a superintendent gets for answers given by the checklist; knows no page."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _

from contractor.events import Actor
from contractor.models import OutboxMail
from contractor.outbox.letters import Letter
from contractor.outbox.services.write import address_ensure, mail_write
from jobs.conditions.words import STATE_NAMES
from jobs.models import ChecklistLink, Condition
from jobs.wording import day_text, word

WORTH_FOR = timedelta(days=3)


@dataclass(frozen=True)
class Answered:
    """A condition as an answer left it; `note` is what was typed with it."""

    condition: Condition
    is_disowned: bool
    note: str


def receipt_write(
    *, link: ChecklistLink, answered: Sequence[Answered], actor: Actor, now: datetime
) -> OutboxMail | None:
    """Put the receipt for one form into the outbox, in the transaction of its answers.

    None where nothing changed, there is no address, or its owner stopped mail.
    """
    person = link.superintendent
    address = address_ensure(person.email) if answered else None
    if address is None:
        return None
    with translation.override(person.language):
        letter = _letter(link, answered, actor)
    return mail_write(
        key=_key(answered),
        kind=OutboxMail.Kind.RECEIPT,
        branch=link.branch,
        address=address,
        to_name=person.name,
        language=person.language,
        letter=letter,
        expires_at=now + WORTH_FOR,
        actor=actor,
        now=now,
    )


def _letter(link: ChecklistLink, answered: Sequence[Answered], actor: Actor) -> Letter:
    house = str(answered[0].condition.job)
    seal = getattr(getattr(link, "of_digest", None), "seal", "")
    opened = [f"{settings.SITE_URL}{reverse('checklist', args=[seal])}"] if seal else []
    return Letter(
        subject=_("Your answers for %(house)s") % {"house": house},
        lines=[
            _("For %(house)s we wrote down, as %(who)s said:") % {"house": house, "who": actor.who},
            "",
            *(_line(each) for each in answered),
            "",
            _(
                "To change an answer, open the same list again. It can be changed until a crew has"
                " seen the thing."
            ),
            *opened,
            "",
            _office(link),
        ],
        seals=[seal] if seal else [],
    )


def _line(answered: Answered) -> str:
    condition = answered.condition
    if answered.is_disowned:
        state = _("not yours; the office will find out whose it is")
    elif condition.promised_for and condition.state == Condition.State.PROMISED:
        state = _("%(state)s for %(day)s") % {
            "state": word(STATE_NAMES[condition.state]),
            "day": day_text(condition.promised_for),
        }
    else:
        state = word(STATE_NAMES[condition.state])
    note = f" ({answered.note.strip()})" if answered.note.strip() else ""
    return f"- {word(condition.name)}: {state}{note}"


def _office(link: ChecklistLink) -> str:
    if link.branch.phone:
        return _("If this was not you, ring the office: %(phone)s.") % {"phone": link.branch.phone}
    return _("If this was not you, ring the office.")


def _key(answered: Sequence[Answered]) -> str:
    """Key one receipt to one change: versions rise with every change, so this never comes again."""
    changes = sorted(f"{each.condition.pk}.{each.condition.version}" for each in answered)
    return f"receipt:{hashlib.sha256(','.join(changes).encode()).hexdigest()[:48]}"
