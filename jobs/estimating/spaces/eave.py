"""What an attic's edge and its code suggest: depth at the eave, raised heel, roof vents, target."""

from collections.abc import Sequence
from fractions import Fraction

from jobs.conditions.sentences import marked as _
from jobs.estimating.cautions import Doubt
from jobs.estimating.charts import ChartRow
from jobs.estimating.codes import LOCAL, Code, raised_heel_r, vent_sentence
from jobs.estimating.exact import spoken
from jobs.estimating.reading import Node, limits
from jobs.estimating.spaces.pitch import read_pitch

HEEL_SOURCE = "IECC R402.2.1; IRC R806.3"


def heel_room_in(node: Node) -> Fraction | None:
    """Return room for insulation over the plate: heel height - vent space; None if not given."""
    heel = node.maybe("heel_in", "in", limits(0, 120))
    vent = node.maybe("vent_in", "in", limits(0, 60, zero=True))
    if heel is None:
        return None
    room = heel - (Fraction(1) if vent is None else vent)
    if room <= 0:
        raise node.fail("heel_in", _("leaves no room under the vent space at the plate"))
    return room


def eave_depth(node: Node, room_in: Fraction | None, row: ChartRow) -> Doubt | None:
    """Return the doubt that the fill does not reach its depth over the plate."""
    pitch = read_pitch(node)
    if room_in is None or row.initial_in is None or row.initial_in <= room_in:
        return None
    text = f"Over the plate there is room for {spoken(room_in)} of {spoken(row.initial_in)} in"
    if pitch:
        text += (
            f"; the full depth begins {spoken((row.initial_in - room_in) / pitch)} ft further in"
        )
    return Doubt("eave_depth", f"{text}. The bags are those of the full depth.", HEEL_SOURCE)


def notes(
    code: Code | None, area_ft2: Fraction, room_in: Fraction | None, chart: Sequence[ChartRow]
) -> list[str]:
    """Return an attic's suggestions: roof vents; with a code its target and raised-heel rule."""
    found = [vent_sentence(area_ft2)]
    if code is None:
        return found
    found.append(code.target.sentence())
    enough = raised_heel_r(code.target.ceiling_r, code.edition)
    if enough is not None and _full_height(chart, enough, room_in):
        found.append(
            f"R-{enough} lies at its full height over the plate and is accepted for"
            f" R-{code.target.ceiling_r} (R402.2.1). {LOCAL}"
        )
    return found


def _full_height(chart: Sequence[ChartRow], r: int, room_in: Fraction | None) -> bool:
    depths = [row.initial_in for row in chart if row.r == r and row.initial_in is not None]
    return room_in is not None and any(depth <= room_in for depth in depths)


def under_code(target_r: Fraction, code: Code | None, accepted: Sequence[str]) -> Doubt | None:
    """Return the doubt that a target is under the code's, unless the raised-heel rule takes it."""
    if code is None or target_r >= code.target.ceiling_r:
        return None
    lower = raised_heel_r(code.target.ceiling_r, code.edition)
    if lower is not None and target_r >= lower and any("full height" in note for note in accepted):
        return None
    text = (
        f"R-{spoken(target_r)} is under R-{code.target.ceiling_r} of {code.target.table}. {LOCAL}"
    )
    return Doubt("under_code", text, code.target.source)
