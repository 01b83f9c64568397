"""Arrivals in words, in the language at hand: the window, and the mails that tell it."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contractor.outbox.letters import Letter
from jobs.localtime import local_date
from jobs.models import Condition, Job
from jobs.wording import day_text, duration, word
from scheduling.arrivals.queries.clock import PostedVisit
from scheduling.arrivals.queries.windows import Recipient
from scheduling.progress import Window

# An old house may owe two dozen things: a superintendent's list has them all.
MOST_OWED = 8
QUARTER = 15  # what is said to be about so long is rounded up to so many minutes


def clock_text(moment: datetime) -> str:
    """Return the time on the wall: `9:30 a.m.`, in either language."""
    return date_format(moment, "g:i a")


def window_text(window: Window) -> str:
    """Return a window as people say it, in the zone that its moments carry."""
    ends = {"first": clock_text(window.from_at), "last": clock_text(window.to_at)}
    return _("between %(first)s and %(last)s") % ends


def window_letter(
    *,
    to: Recipient,
    visit: PostedVisit,
    window: Window,
    was_told: bool,
    owed: Sequence[Condition],
    now: datetime,
) -> Letter:
    """Say when a crew comes. was_told: another time was told before. owed: what is not ready."""
    when = {
        "day": near_day_text(visit.day, local_date(visit.branch, now)),
        "window": window_text(window),
    }
    text = (
        _("We come at another time: %(day)s, %(window)s")
        if was_told
        else _("We come %(day)s, %(window)s")
    )
    lines = [
        _("%(name)s, this is when our crew arrives.") % {"name": to.name},
        "",
        *_where(visit.job),
        _sentence(text % when),
    ]
    if was_told:
        lines.append(_("What we told you before no longer holds."))
    lines += [_crew(visit), *_ready(owed, is_lived_in=to.to == "owner"), *_ring(visit)]
    return Letter(text % when, lines)


def called_off_letter(*, to: Recipient, job: Job, day: date, others: Sequence[date]) -> Letter:
    """Say that a crew that was told of does not come. others: posted days that follow."""
    text = _("We do not come on %(day)s, as we had told you") % {"day": day_text(day)}
    lines = [_("%(name)s, our plan has changed.") % {"name": to.name}, "", *_where(job), f"{text}."]
    if others:
        lines.append(_("Now a crew is to come on %(day)s.") % {"day": day_text(min(others))})
    phone = job.site.branch.phone
    if phone:
        lines += ["", _("The office tells you more: %(phone)s.") % {"phone": phone}]
    return Letter(text, lines)


def near_day_text(day: date, today: date) -> str:
    """Return the day with its nearness: `tomorrow, Tue Mar 2`."""
    if day == today:
        return _("today, %(day)s") % {"day": day_text(day)}
    if day == today + timedelta(days=1):
        return _("tomorrow, %(day)s") % {"day": day_text(day)}
    return _("on %(day)s") % {"day": day_text(day)}


def _sentence(text: str) -> str:
    """End it with one full stop, also after `a.m.`."""
    return text if text.endswith(".") else f"{text}."


def _where(job: Job) -> list[str]:
    """Return the house with its address, which may be all that the site is called by."""
    address = job.site.address
    if address.startswith(job.site.name):
        return [f"{address}, {job.unit}" if job.unit else address]
    return [f"{job}, {address}" if address else str(job)]


def _crew(visit: PostedVisit) -> str:
    return _("Crew %(crew)s works there for about %(time)s.") % {
        "crew": visit.crew_day.crew.name,
        "time": duration(-(-visit.minutes // QUARTER) * QUARTER),
    }


def _ready(owed: Sequence[Condition], *, is_lived_in: bool) -> list[str]:
    """Say what must be ready; in a house that is lived in also what always is (common practice)."""
    lines = [f"- {word(condition.name)}" for condition in owed[:MOST_OWED]]
    more = len(owed) - MOST_OWED
    if more > 0:
        lines.append(
            ngettext("- and %(n)s more on the list", "- and %(n)s more on the list", more)
            % {"n": more}
        )
    if is_lived_in:
        lines += [
            "- " + _("the way to the attic, the walls and the crawl space is clear"),
            "- " + _("children and animals are kept away from the work"),
        ]
    return ["", _("What must be ready:"), *lines] if lines else []


def _ring(visit: PostedVisit) -> list[str]:
    if not visit.branch.phone:
        return []
    words = _("If that does not suit you, or something is not ready, ring the office: %(phone)s.")
    return ["", words % {"phone": visit.branch.phone}]
