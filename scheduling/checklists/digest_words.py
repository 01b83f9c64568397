"""A superintendent's digest in words, in the language at hand; decides nothing."""

from collections.abc import Sequence
from datetime import timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contractor.outbox.letters import Letter
from jobs.conditions.words import STATE_NAMES
from jobs.models import Condition, Superintendent
from jobs.wording import day_text, word
from scheduling.arrivals.words import window_text
from scheduling.checklists.queries.digest import DigestBranch, DigestContent, DigestHouse

# A first digest may hold dozens of things: the list behind the link has them all.
MOST_AT_A_HOUSE = 8


def digest_letter(
    person: Superintendent, told: DigestContent, links: dict[int, str], seals: Sequence[str]
) -> Letter:
    """Return the letter; links: the address of the list by branch id."""
    is_open = any(branch.houses for branch in told.branches)
    first = _("%(name)s, this is open at your houses.") if is_open else _("%(name)s, we come.")
    lines = [first % {"name": person.name}]
    for branch in told.branches:
        lines += _branch_lines(branch, told, links[branch.branch.pk], len(told.branches) > 1)
    return Letter(_subject(told), lines, seals)


def _subject(told: DigestContent) -> str:
    tomorrow = [house for branch in told.branches for house in branch.tomorrow]
    if tomorrow:
        n = sum(len(house.conditions) for house in tomorrow)
        text = ngettext(
            "%(day)s hangs on %(n)s open thing", "%(day)s hangs on %(n)s open things", n
        )
        return text % {"day": day_text(tomorrow[0].day), "n": n}
    ready = [house for branch in told.branches for house in branch.ready]
    if ready:
        return _("A crew comes on %(day)s") % {"day": day_text(ready[0].day)}
    n = sum(len(house.conditions) for branch in told.branches for house in branch.houses)
    return ngettext(
        "%(n)s thing is open at your houses", "%(n)s things are open at your houses", n
    ) % {"n": n}


def _branch_lines(
    told: DigestBranch, whole: DigestContent, link: str, is_one_of_several: bool
) -> list[str]:
    lines = ["", f"== {told.branch.name} =="] if is_one_of_several else []
    is_next_date = told.next_day == whole.day + timedelta(days=1)
    coming = _("A crew comes tomorrow, %(day)s. It hangs on this:")
    later = _("A crew comes on %(day)s. It hangs on this:")
    day = {"day": day_text(told.next_day)}
    lines += _section((coming if is_next_date else later) % day, told.tomorrow, with_day=False)
    coming = _("A crew comes tomorrow, %(day)s. Nothing is open there:")
    later = _("A crew comes on %(day)s. Nothing is open there:")
    lines += _section((coming if is_next_date else later) % day, told.ready, with_day=False)
    lines += _section(_("Needed soon:"), told.soon, with_day=True)
    lines += _section(_("Newly owed:"), told.new, with_day=True)
    lines += ["", _("Answer here, without an account; it takes a minute:"), link]
    if told.branch.phone:
        lines += ["", _("Or ring the office: %(phone)s.") % {"phone": told.branch.phone}]
    return lines


def _section(head: str, houses: Sequence[DigestHouse], *, with_day: bool) -> list[str]:
    lines = ["", head] if houses else []
    for house in houses:
        lines += ["", _house_head(house) if with_day else _arrival_head(house)]
        lines += [f"- {_condition(each)}" for each in house.conditions[:MOST_AT_A_HOUSE]]
        more = len(house.conditions) - MOST_AT_A_HOUSE
        if more > 0:
            lines.append(
                ngettext("- and %(n)s more on the list", "- and %(n)s more on the list", more)
                % {"n": more}
            )
    return lines


def _house_head(house: DigestHouse) -> str:
    if house.day is None:
        return str(house.job)
    return _("%(house)s, by %(day)s") % {"house": house.job, "day": day_text(house.day)}


def _arrival_head(house: DigestHouse) -> str:
    if house.visit is None:
        return str(house.job)
    return f"{house.job}: {window_text(house.visit.window)}"


def _condition(condition: Condition) -> str:
    """Return a thing with its state, where it is more than owed."""
    name = word(condition.name)
    if condition.promised_for and condition.state == Condition.State.PROMISED:
        state = _("%(state)s for %(day)s") % {
            "state": word(STATE_NAMES[condition.state]),
            "day": day_text(condition.promised_for),
        }
        return f"{name} ({state})"
    return name
