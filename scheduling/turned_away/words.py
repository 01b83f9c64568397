"""The mail that tells the office of a crew turned away, in the language at hand; no decision."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.urls import reverse
from django.utils.formats import time_format
from django.utils.translation import gettext as _

from contractor.models import Branch
from contractor.outbox.letters import Letter
from jobs.models import Condition
from jobs.wording import day_text, word
from scheduling.models import Fact, TurnedAway


def turned_away_letter(row: TurnedAway) -> Letter:
    """Tell who was turned away from which house, when and why, and where to go on."""
    fact = row.fact
    words = {"crew": fact.crew.name, "house": str(fact.job), "who": fact.who}
    subject = _("%(crew)s was turned away from %(house)s") % words
    head = _("%(who)s said on %(day)s at %(time)s: %(crew)s was turned away from %(house)s.")
    at = fact.happened_at.astimezone(ZoneInfo(row.branch.time_zone))
    said = head % {**words, "day": day_text(at.date()), "time": clock(at)}
    return Letter(subject, [said, *_why(fact), *_links(row)])


def clock(at: datetime) -> str:
    """Return a time of the wall, as people say it."""
    return time_format(at, "g:i A")


def missing_names(facts: Sequence[Fact]) -> list[list[str]]:
    """Return what crews found missing, in the language at hand, fact by fact; one statement."""
    ids = {pk for fact in facts for pk in fact.what.get("missing", ())}
    rows = Condition.objects.filter(pk__in=ids).order_by("pk")
    known = list(rows.values_list("pk", "job_id", "name"))
    return [
        [
            word(name)
            for pk, job, name in known
            if job == fact.job_id and pk in fact.what.get("missing", ())
        ]
        for fact in facts
    ]


def end_of_day(branch: Branch, day: date) -> datetime:
    """Return midnight after a day there: what is told of a day is of no use on the next."""
    return datetime.combine(day + timedelta(days=1), time(), tzinfo=ZoneInfo(branch.time_zone))


def _why(fact: Fact) -> list[str]:
    why, (names,) = str(fact.what.get("why", "")), missing_names([fact])
    lines = [_("Missing: %(names)s.") % {"names": "; ".join(names)}] if names else []
    return lines + ([_("In the crew's words: %(why)s") % {"why": why}] if why else [])


def _links(row: TurnedAway) -> list[str]:
    site, day = settings.SITE_URL, f"branch={row.branch_id}&day={row.day.isoformat()}"
    return [
        "",
        _("Photos, where the crew took any, and all crews of today:"),
        f"{site}{reverse('today')}?{day}",
        "",
        _("A plan for the rest of the day, once it is worked out:"),
        f"{site}{reverse('turned-away-plan', args=[row.pk])}",
    ]
