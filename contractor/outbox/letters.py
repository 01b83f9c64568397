"""What a mail says, before anybody writes it; knows no row and no recipient."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Letter:
    """What a mail says: a subject, and lines of plain text of which empty ones part paragraphs.

    A line that starts with our own address becomes a link in the HTML part.
    """

    subject: str
    lines: Sequence[str]
    seals: Sequence[str] = ()
