"""What is said on the Today page of crews, stops and things to do; decides nothing."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.utils.formats import date_format
from django.utils.timezone import localtime
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from contractor.models import Phone
from jobs.conditions.words import STEP_NAMES
from jobs.models import Job
from jobs.wording import day_text, duration, word
from scheduling.arrivals.queries.windows import telling_window
from scheduling.models import WindowTold
from scheduling.progress import ActionKind, StopState, Window
from scheduling.progress.day import ReadyHouse
from scheduling.progress.lateness import Arrival, CrewPlace, Due
from scheduling.progress.next_stop import NextStop
from scheduling.today.queries.today import CrewToday

CLOCK = "g:i A"


@dataclass(frozen=True)
class Clock:
    """Says moments by the yard's clock; of another day than the page's, with the day."""

    day: date

    def at(self, moment: datetime | None) -> str:
        """Say `7:10 AM`, `Mon Mar 1, 4:10 PM`; empty for none."""
        if moment is None:
            return ""
        local = localtime(moment)
        said = date_format(local, CLOCK)
        return said if local.date() == self.day else f"{day_text(local.date())}, {said}"

    def window(self, window: Window | None) -> str:
        """Say `9:00 AM to 11:00 AM`; empty for none."""
        if window is None:
            return ""
        ends = {"start": self.at(window.from_at), "end": self.at(window.to_at)}
        return _("%(start)s to %(end)s") % ends


def head_words() -> dict[str, str]:
    """Return the heads of the tables, each put into the reader's language once for a page."""
    return {
        "stands": _("How it stands"),
        "planned": _("Planned"),
        "arrival": _("Arrival"),
        "told": _("Told"),
        "nothing_told": _("nothing yet"),
        "step": _("Step"),
        "minutes": _("Minutes said"),
        "bags": _("Bags said"),
        "of_plan": _("planned"),
        "correct": _("correct"),
    }


def step_words(kind: str) -> str:
    """Return the name of a kind of step."""
    return word(STEP_NAMES.get(kind, kind))


def state_words(state: StopState) -> str:
    """Tell how far a visit has come."""
    return {
        StopState.TO_COME: _("to come"),
        StopState.ON_THE_WAY: _("on the way"),
        StopState.THERE: _("there"),
        StopState.WORKING: _("working"),
        StopState.FINISHED: _("finished"),
        StopState.TURNED_AWAY: _("turned away"),
    }[state]


def stand_words(crew: CrewToday, jobs: Mapping[int, Job], clock: Clock) -> str:
    """Say `Working at Lot 1 since 7:25 AM`."""
    stand = crew.stand
    place = {
        CrewPlace.NOTHING_SAID: _("Has said nothing yet"),
        CrewPlace.ON_THE_WAY: _("On the way to %(house)s since %(at)s"),
        CrewPlace.THERE: _("At %(house)s since %(at)s, not yet at work"),
        CrewPlace.WORKING: _("Working at %(house)s since %(at)s"),
        CrewPlace.BETWEEN: _("Finished at %(house)s at %(at)s, not yet on the way again"),
        CrewPlace.TURNED_AWAY: _("Turned away at %(house)s at %(at)s"),
        CrewPlace.FINISHED: _("Finished for the day, at %(house)s at %(at)s"),
    }[stand.place]
    if stand.step:
        place = _("Working at %(house)s on %(step)s since %(at)s")
    names = {"house": house(jobs, stand.job), "step": step_words(stand.step)}
    return place % {**names, "at": clock.at(stand.since)}


def place_words(place: CrewPlace, n: int) -> str:
    """Tell how many crews are where: `2 working`."""
    text = {
        CrewPlace.NOTHING_SAID: ngettext(
            "%(n)s has said nothing yet", "%(n)s have said nothing yet", n
        ),
        CrewPlace.ON_THE_WAY: ngettext("%(n)s on the way", "%(n)s on the way", n),
        CrewPlace.THERE: ngettext(
            "%(n)s there, not yet at work", "%(n)s there, not yet at work", n
        ),
        CrewPlace.WORKING: ngettext("%(n)s working", "%(n)s working", n),
        CrewPlace.BETWEEN: ngettext("%(n)s between two houses", "%(n)s between two houses", n),
        CrewPlace.TURNED_AWAY: ngettext("%(n)s turned away", "%(n)s turned away", n),
        CrewPlace.FINISHED: ngettext("%(n)s finished for the day", "%(n)s finished for the day", n),
    }[place]
    return text % {"n": n}


def house(jobs: Mapping[int, Job], job: int | None) -> str:
    """Return a house as the office calls it."""
    return str(jobs[job]) if job is not None and job in jobs else _("a house")


def due_words(due: Due, jobs: Mapping[int, Job], clock: Clock) -> str:
    """Say `should have arrived at Lot 1 by 7:20 AM`."""
    text = {
        ActionKind.SET_OUT: _("should have set out for %(house)s by %(at)s"),
        ActionKind.ARRIVED: _("should have arrived at %(house)s by %(at)s"),
    }.get(due.action, _("should have finished %(step)s at %(house)s by %(at)s"))
    names = {"house": house(jobs, due.job), "at": clock.at(due.at), "step": step_words(due.step)}
    return text % names


def last_word_text(crew: CrewToday, clock: Clock) -> str:
    """Tell when anything reached us from the crew's phones; never more than is known."""
    if crew.heard_at is not None:
        return _("Last heard %(at)s.") % {"at": clock.at(crew.heard_at)}
    if crew.phones:
        return _("Nothing was heard from its phones yet.")
    return _("No phone is signed in for this crew.")


def phone_words(phone: Phone, clock: Clock) -> str:
    """Say `Cleo's phone: 3 taps, 1 photo not sent at 9:40 AM; last heard 9:41 AM`."""
    name = phone.person.get_full_name() or phone.person.username
    said = {
        "name": name,
        "kept": kept_words(phone),
        "at": clock.at(phone.reported_at),
        "heard": clock.at(phone.last_seen_at),
    }
    if phone.reported_at is None:
        return _("%(name)s's phone has not said yet what it keeps; last heard %(heard)s.") % said
    if not phone.unsent and not phone.unsent_photos:
        return _("%(name)s's phone: all sent at %(at)s; last heard %(heard)s.") % said
    return _("%(name)s's phone: %(kept)s not sent at %(at)s; last heard %(heard)s.") % said


def kept_words(phone: Phone) -> str:
    """Say `3 taps, 1 photo`."""
    taps = ngettext("%(n)s tap", "%(n)s taps", phone.unsent) % {"n": phone.unsent}
    photos = ngettext("%(n)s photo", "%(n)s photos", phone.unsent_photos)
    both = ((phone.unsent, taps), (phone.unsent_photos, photos % {"n": phone.unsent_photos}))
    return ", ".join(text for number, text in both if number)


def arrival_words(arrival: Arrival, clock: Clock, *, is_silent: bool, is_over: bool) -> str:
    """Say `expected 8:45 AM, 25 min late`; of a crew that says nothing, not more than is known."""
    at = {"at": clock.at(arrival.arrive_at)}
    if arrival.is_said:
        return _join(_("arrived %(at)s") % at, _late(arrival))
    if is_over:
        return _("nothing was said")
    if is_silent:
        return _("%(at)s or later, nothing is heard") % at
    return _join(_("expected %(at)s") % at, _late(arrival))


def _late(arrival: Arrival) -> str:
    if arrival.is_late:
        return _("%(time)s late") % {"time": duration(arrival.late_minutes)}
    if arrival.late_minutes < -15:
        return _("%(time)s early") % {"time": duration(-arrival.late_minutes)}
    return _("as planned")


def _join(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def telling_words(row: WindowTold, clock: Clock) -> str:
    """Say `Rosa Reyes: 9:00 AM to 11:00 AM, mailed 6:10 AM`."""
    said = {
        "name": row.to_name,
        "window": clock.window(telling_window(row)) or _("nobody comes"),
        "at": clock.at(row.told_at),
    }
    if row.mail is None:
        return _("%(name)s: %(window)s, rung %(at)s") % said
    if row.has_failed:
        return _("%(name)s: the mail of %(at)s could not be delivered") % said
    return _("%(name)s: %(window)s, mailed %(at)s") % said


def next_words(found: NextStop | None, jobs: Mapping[int, Job]) -> str:
    """Tell where a crew goes that was turned away."""
    if found is None:
        return _("No other house of its day is ready: the crew rings the office.")
    if found.ready == ReadyHouse.SEEN:
        return _("Next: %(house)s, seen ready.") % {"house": house(jobs, found.job)}
    words = _("Next: %(house)s, reported ready and not seen.")
    return words % {"house": house(jobs, found.job)}
