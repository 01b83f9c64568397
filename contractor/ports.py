"""Questions of this floor that floors above answer, as Protocols; knows no floor above.

A floor above fills them as the app starts, in its `AppConfig.ready()`.
"""

from collections.abc import Sequence
from datetime import datetime
from typing import Generic, Protocol, TypeVar

from django.core.exceptions import ImproperlyConfigured

from contractor.access import Person
from contractor.events import Actor
from contractor.models import Branch, Machine, Material

Asked = TypeVar("Asked")


class Port(Generic[Asked]):
    """A question with the one who answers it, once that one has said so."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._answerer: Asked | None = None

    def fill(self, answerer: Asked) -> None:
        """Say who answers; called once, as the app above starts."""
        self._answerer = answerer

    @property
    def ask(self) -> Asked:
        """The one who answers, to be called. Raises ImproperlyConfigured where none has said so."""
        if self._answerer is None:
            raise ImproperlyConfigured(
                f"Nobody answers for {self._name!r}; expected that an app above fills this port in"
                " its AppConfig.ready()."
            )
        return self._answerer


class RepriceResult(Protocol):
    """How many open jobs came out otherwise, and why others were refused."""

    @property
    def changed(self) -> int:
        """Open jobs whose estimate came out otherwise."""

    @property
    def refused(self) -> Sequence[str]:
        """A sentence for each job that the estimator does not take any more."""


class Reprices(Protocol):
    """Estimates open jobs anew where an owner changed a yard, a machine or a material."""

    def __call__(
        self, *, thing: Branch | Machine | Material, actor: Actor, now: datetime
    ) -> RepriceResult:
        """Estimate the open jobs that the thing is about."""


class CountsTurnedAway(Protocol):
    """Counts the crews turned away that wait for an answer of the office."""

    def __call__(self, person: Person, /) -> int:
        """Return how many of those that the person sees nobody has dealt with."""


RATES_CHANGED: Port[Reprices] = Port("rates changed")
TURNED_AWAY_UNSEEN: Port[CountsTurnedAway] = Port("crews turned away, unseen")
