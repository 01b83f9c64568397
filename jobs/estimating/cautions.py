"""Warnings: what is doubtful, with its source, and whether it holds the step till answered."""

from dataclasses import dataclass
from fractions import Fraction

from jobs.estimating.estimated import SpaceWarning
from jobs.estimating.exact import spoken

LOAD_24_IN = Fraction("1.3")
LOAD_16_IN = Fraction("2.2")
LOAD_SOURCE = "a board maker's recommendation in a DOE loose-fill fact sheet"
DENSITY_SOURCE = (
    "the material's own minimum; 3.5 lb/ft3 for cellulose: Karg, National Weatherization Conference"
    " 2005; 1.5 for fibreglass: DOE loose-fill fact sheet"
)
DOUBTFUL_DENSITY = Fraction("3.2")


@dataclass(frozen=True, slots=True)
class Doubt:
    """A doubt about a space; one that holds stops the step until somebody answers for it."""

    code: str
    text: str
    source: str
    holds: bool = False

    def warning(self, step: str | None) -> SpaceWarning:
        """Return the warning that the estimate passes on; step: the kind of step it is about."""
        return SpaceWarning(self.code, self.text, self.source, self.holds, step)


def board_limit_lb_per_ft2(board_in: Fraction, framing_in: Fraction) -> Fraction | None:
    """Return the load a ceiling board is said to carry: 1.3 or 2.2 lb/ft2; None if none is stated.

    1/2 in at 24 in: 1.3; 1/2 in at 16 in, or 5/8 in: 2.2. Between 16 and 24 in the wider holds.
    """
    if framing_in > 24 or board_in < Fraction(1, 2):
        return None
    if board_in >= Fraction(5, 8) or framing_in <= 16:
        return LOAD_16_IN
    return LOAD_24_IN


def board_load(
    lb_per_ft2: Fraction,
    board_in: Fraction | None,
    framing_in: Fraction | None,
    own_limit: Fraction | None = None,
) -> Doubt | None:
    """Return the doubt that the ceiling board carries all laid on it; None where it does."""
    if own_limit is not None:
        source = "the board's own limit, given in the takeoff"
        return _over_limit(lb_per_ft2, own_limit, "the board", source)
    if board_in is None or framing_in is None:
        text = (
            f"The load is {spoken(lb_per_ft2)} lb/ft2, but the board's thickness or the framing's"
            " spacing is not known, so nothing says that the ceiling carries it."
        )
        return Doubt("board_unknown", text, LOAD_SOURCE)
    board = f"{spoken(board_in, 3)} in board at {spoken(framing_in)} in"
    limit = board_limit_lb_per_ft2(board_in, framing_in)
    if limit is None:
        text = f"No limit is stated for {board}; the load would be {spoken(lb_per_ft2)} lb/ft2."
        return Doubt("board_load", text, LOAD_SOURCE, holds=True)
    return _over_limit(lb_per_ft2, limit, board, LOAD_SOURCE)


def _over_limit(load: Fraction, limit: Fraction, board: str, source: str) -> Doubt | None:
    if load <= limit:
        return None
    text = f"{spoken(load, 3)} lb/ft2 on {board}, which is said to carry {spoken(limit)} lb/ft2."
    return Doubt("board_load", text, source, holds=True)


def vent_space(vent_in: Fraction, least_in: Fraction) -> Doubt | None:
    """Return the doubt that air has room enough over the fill; unvented slopes are apart."""
    if vent_in >= least_in:
        return None
    if vent_in == 0:
        text = (
            "The slope is filled without a vent space. An unvented slope has a rule of its own,"
            " which air-permeable fill alone does not meet."
        )
        return Doubt("vent_space", text, "IRC R806.5", holds=True)
    text = f"The vent space is {spoken(vent_in)} in; at least {spoken(least_in)} in is asked for."
    return Doubt("vent_space", text, "IRC R806.3", holds=True)


def density_verdict(lb_per_ft3: Fraction, least: Fraction, doubtful: Fraction | None = None) -> str:
    """Return `pass` at the minimum or over, `warn` from the doubtful density on, else `fail`.

    For cellulose: 3.5 passes, 3.2 is "probably OK" (Karg, National Weatherization Conference
    2005). Other products state no doubtful band; without one everything under fails.
    """
    if lb_per_ft3 >= least:
        return "pass"
    return "warn" if doubtful is not None and lb_per_ft3 >= doubtful else "fail"


def density_low(lb_per_ft3: Fraction, least: Fraction | None) -> Doubt | None:
    """Return the doubt that a dense fill is under the material's minimum."""
    if least is None or lb_per_ft3 >= least:
        return None
    doubtful = DOUBTFUL_DENSITY if least == Fraction("3.5") else None
    nearly = density_verdict(lb_per_ft3, least, doubtful) == "warn"
    text = f"A dense fill of {spoken(lb_per_ft3)} lb/ft3 is under the minimum of"
    text += f" {spoken(least)} lb/ft3"
    text += "; from 3.2 on it is called probably enough." if nearly else "; it may settle."
    return Doubt("density_low", text, DENSITY_SOURCE, holds=True)


def board_strength(board_in: Fraction | None, spacing_in: Fraction) -> Doubt | None:
    """Return the doubt that the board stands a dense fill: 1/2 in at 16 in, 5/8 in at 24 in do."""
    if board_in is None:
        return None
    needed = Fraction(1, 2) if spacing_in <= 16 else Fraction(5, 8)
    if board_in >= needed and spacing_in <= 24:
        return None
    text = (
        f"{spoken(board_in, 3)} in board at {spoken(spacing_in)} in under a dense fill; at least"
        f" {spoken(needed, 3)} in is asked for."
    )
    return Doubt("board_strength", text, "Utah weatherization field guide")
