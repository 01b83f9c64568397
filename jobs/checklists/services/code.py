"""Services about the short codes of checklists: making one, trying one, entering by one."""

from datetime import datetime, timedelta

from django.db import transaction

from contractor.events import Actor, event_record
from contractor.link_secret import secret_hash, secret_make
from contractor.models import Event
from jobs.checklists.link_code import CODE_DAYS, code_hash, code_make, place_hash
from jobs.checklists.queries import TRIES_KEPT, code_open, tries_spent
from jobs.models import ChecklistCode, ChecklistLink, CodeEntry, CodeTry


@transaction.atomic
def checklist_code_make(
    *, link: ChecklistLink, actor: Actor, now: datetime
) -> tuple[ChecklistCode, str]:
    """Make a code for a link; it lives 30 days, and no longer than the link.

    The code itself is returned this once and can never be read again.
    """
    code = code_make()
    row = ChecklistCode.objects.create(
        link=link,
        code_hash=code_hash(code),
        created_at=now,
        expires_at=min(link.expires_at, now + timedelta(days=CODE_DAYS)),
    )
    what = {"link": link.pk, "expires_at": row.expires_at.isoformat()}
    event_record(actor=actor, now=now, verb="created", thing=row, branch=link.branch, what=what)
    return row, code


@transaction.atomic
def code_try(*, address: str, now: datetime) -> CodeTry | None:
    """Count a try before the code is looked at; None where no more are taken for now.

    address: the network address it comes from. A place that has used up its tries adds none, so
    that one place alone cannot use up everybody's. On PostgreSQL tries of the same instant do not
    see each other: the limit can be passed by as many as there are web processes.
    """
    CodeTry.objects.filter(at__lte=now - TRIES_KEPT).delete()
    if tries_spent(address, now):
        return None
    return CodeTry.objects.create(at=now, place_hash=place_hash(address))


@transaction.atomic
def code_enter(*, typed: str, tried: CodeTry, now: datetime) -> str | None:
    """Make a link of its own for whoever typed a code, and return its secret; None for no code.

    The new link ends with the one that the code was made for. A try that found something is not
    counted against its place.
    """
    code = code_open(typed, now)
    if code is None:
        return None
    secret, given = secret_make(), code.link
    link = ChecklistLink.objects.create(
        superintendent=given.superintendent,
        branch=given.branch,
        secret_hash=secret_hash(secret),
        created_at=now,
        expires_at=given.expires_at,
    )
    CodeEntry.objects.create(code=code, link=link)
    tried.delete()
    who = f"somebody with a code of {given.superintendent.name}"
    actor = Actor(who=who, source=Event.Source.LINK)
    what = {"superintendent": given.superintendent_id, "code": code.pk, "link": given.pk}
    event_record(actor=actor, now=now, verb="entered", thing=link, branch=link.branch, what=what)
    return secret
