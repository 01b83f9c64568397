"""Which mails and mailboxes a person sees; changes nothing."""

from django.conf import settings
from django.db.models import Exists, OuterRef, QuerySet

from contractor.access import Scope
from contractor.models import MailAddress, OutboxMail


def mails_of(scope: Scope) -> QuerySet[OutboxMail]:
    """Return the mails of the scope's branches, the newest first."""
    mails = OutboxMail.objects.select_related("address", "branch")
    return mails if scope.all_branches else mails.filter(branch_id__in=scope.branch_ids)


def addresses_of(scope: Scope) -> QuerySet[MailAddress]:
    """Return the mailboxes that the scope's branches wrote to."""
    mails = mails_of(scope).filter(address=OuterRef("pk"))
    return MailAddress.objects.filter(Exists(mails))


def may_read_text(scope: Scope, mail: OutboxMail) -> bool:
    """Tell whether who sees the mail may read it, too: not what tells of other branches."""
    return scope.all_branches or not mail.spans_branches


def mail_enabled() -> bool:
    """Tell whether anything is sent at all: always in development, in production by EMAIL_URL."""
    return bool(settings.MAIL_ENABLED)
