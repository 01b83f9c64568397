"""The buttons of the Today page: a crew seen turned away, a time told; changes nothing."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext as _

from scheduling.arrivals.queries.windows import Telling, late_window
from scheduling.progress.todo import Need, Todo
from scheduling.today.queries.today import Today
from scheduling.today.views.words import Clock

TELLING = (Need.WINDOW_SOON, Need.WINDOW, Need.UNTOLD)


@dataclass(frozen=True)
class Press:
    """A button: what it says, where it goes, and the hidden fields of its form."""

    label: str
    address: str
    fields: dict[str, str]


@dataclass(frozen=True)
class Acts:
    """The buttons of a day for somebody who may press them."""

    today: Today
    clock: Clock

    def of(self, todo: Todo) -> tuple[Press, ...]:
        """Return the buttons beside one thing to do."""
        if todo.need == Need.TURNED_AWAY:
            return (self.seen(todo.fact),)
        telling = self.today.tellings.get(todo.job or 0)
        if todo.need not in TELLING or telling is None:
            return ()
        return tuple(self._tell(todo, telling))

    def seen(self, fact: str) -> Press:
        """Mark a turned-away crew as seen."""
        return Press(_("Mark as seen"), reverse("turned-away-seen", args=[fact]), {})

    def _tell(self, todo: Todo, telling: Telling) -> Iterator[Press]:
        """Yield a mail for whom mail reaches; of the others, that they were rung."""
        today = self.today
        window = late_window(today.branch, todo.arrive_at or today.now, today.now)
        fields = {
            "job": str(todo.job),
            "day": today.day.isoformat(),
            "from_at": window.from_at.isoformat(),
            "to_at": window.to_at.isoformat(),
        }
        names = {"window": self.clock.window(window)}
        if len(telling.to_ring) < len(telling.recipients) and todo.need != Need.UNTOLD:
            label = _("Mail the new time: %(window)s") % names
            yield Press(label, reverse("today-window"), fields)
        for person in telling.to_ring:
            if person.phone:
                names["name"] = person.name
                label = _("I rang %(name)s and told %(window)s") % names
                yield Press(label, reverse("today-window"), fields | {"rung": person.to})
