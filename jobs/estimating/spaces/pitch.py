"""Reading of a roof's pitch and of slope lengths; knows no material."""

from fractions import Fraction

from jobs.conditions.sentences import marked as _
from jobs.estimating.cautions import Doubt
from jobs.estimating.exact import spoken
from jobs.estimating.geometry import slope_length_ft
from jobs.estimating.reading import MeasureName, Node, limits

LENGTH = limits(0, 1000)
AGREE = Fraction(2, 100)


def read_pitch(node: Node) -> Fraction | None:
    """Return the rise in inches per foot of run; "6/12" and "6:12" are pitches, not fractions."""
    raw = node.raw("pitch")
    if isinstance(raw, str) and raw.replace(" ", "").endswith(("/12", ":12")):
        rise = {"pitch": raw.replace(" ", "")[:-3]}
        node = Node(rise, node.path, node.assumed)
    return node.maybe("pitch", "in rise per 12 in of run", limits(0, 60, zero=True))


def read_length_ft(node: Node) -> Fraction:
    """Return the slope length as measured, else from run and pitch."""
    length, run = node.maybe("length_ft", "ft", LENGTH), node.maybe("run_ft", "ft", LENGTH)
    pitch = read_pitch(node)
    if length is not None:
        return length
    if run is None or pitch is None:
        missing = "length_ft" if run is None else "pitch"
        raise node.lacks(
            missing,
            _("is missing; expected %(length)s, or %(run)s and pitch"),
            length=MeasureName("length_ft"),
            run=MeasureName("run_ft"),
        )
    return slope_length_ft(run, pitch)


def lengths_differ(node: Node) -> Doubt | None:
    """Return the doubt that a measured length is not what run and pitch give, by more than 2 %."""
    length, run = node.maybe("length_ft", "ft", LENGTH), node.maybe("run_ft", "ft", LENGTH)
    pitch = read_pitch(node)
    if length is None or run is None or pitch is None:
        return None
    reckoned = slope_length_ft(run, pitch)
    if abs(length - reckoned) <= AGREE * max(length, reckoned):
        return None
    text = f"The length of {spoken(length)} ft is used;"
    text += f" run and pitch would give {spoken(reckoned)} ft."
    return Doubt("lengths_differ", text, "geometry: run x sqrt(1 + (rise/12)^2)")
