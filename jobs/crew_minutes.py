"""What a step takes crews of different sizes: the one reader and writer of that JSON; no row."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

PAIR = 2


@dataclass(frozen=True)
class CrewMinutes:
    """Minutes on site by the number of people on the crew."""

    by_people: Mapping[int, int]

    @classmethod
    def read(cls, kept: Mapping[str, int]) -> "CrewMinutes":
        """Return what a row keeps: `{"2": 165, "3": 158}`."""
        return cls({int(people): int(minutes) for people, minutes in kept.items()})

    def kept(self) -> dict[str, int]:
        """Return it as a row keeps it; JSON has no numbers for keys."""
        return {str(people): minutes for people, minutes in self.by_people.items()}

    def at(self, people: int) -> int:
        """Return the minutes of the largest crew listed that is no larger, else of the smallest."""
        fitting = [size for size in self.by_people if size <= people] or [min(self.by_people)]
        return self.by_people[max(fitting)]

    @property
    def pair(self) -> int:
        """Minutes of two; of one person where two make no difference; 0 where none is listed."""
        return self.by_people.get(PAIR) or min(self.by_people.values(), default=0)


def crew_minutes_sum(tables: Iterable[CrewMinutes]) -> CrewMinutes:
    """Add tables up, for the sizes of crew that each of them lists."""
    tables = list(tables)
    sizes = [n for n in tables[0].by_people if all(n in table.by_people for table in tables)]
    return CrewMinutes({n: sum(table.by_people[n] for table in tables) for n in sizes})
