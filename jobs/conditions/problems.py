"""What is wrong with an entry of the catalogue: the field, and a sentence; knows no language."""

from dataclasses import dataclass

from jobs.conditions.sentences import Sentence


@dataclass(frozen=True)
class EntryProblem:
    """One thing that forbids an entry, at a field of it."""

    field: str
    sentence: Sentence

    def __str__(self) -> str:
        return f"{self.field}: {self.sentence}"
