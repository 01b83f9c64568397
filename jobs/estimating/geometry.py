"""Lengths, areas and volumes of roofs and cavities, exact; knows no material."""

from fractions import Fraction

from jobs.estimating.exact import square_root

IN3_PER_FT3 = 1728
IN_PER_FT = 12
IN3_PER_BOARD_FT = 144


def pitch_factor(rise_in: Fraction) -> Fraction:
    """Return slope length per foot of run for a rise in inches per foot: sqrt(1 + (rise/12)^2)."""
    return square_root(1 + (rise_in / IN_PER_FT) ** 2)


def slope_length_ft(run_ft: Fraction, rise_in: Fraction) -> Fraction:
    """Return the slope length: run x sqrt(1 + (rise/12)^2), in feet."""
    return run_ft * pitch_factor(rise_in)


def clear_width_in(spacing_in: Fraction, rafter_width_in: Fraction) -> Fraction:
    """Clear width of a bay = spacing - rafter width, in inches."""
    return spacing_in - rafter_width_in


def fill_depth_in(depth_in: Fraction, vent_in: Fraction) -> Fraction:
    """Return the fill depth: rafter depth - vent space, in inches."""
    return depth_in - vent_in


def bay_volume_ft3(width_in: Fraction, depth_in: Fraction, length_ft: Fraction) -> Fraction:
    """Return the volume of a bay: clear width x fill depth x length, in cubic feet."""
    return width_in * depth_in * length_ft * IN_PER_FT / IN3_PER_FT3


def bead_board_ft(length_ft: Fraction, diameter_in: Fraction) -> Fraction:
    """Return board-feet of a round bead of foam: pi/4 x d^2 x length / 144 in3, without waste."""
    pi = Fraction("3.14159265358979")
    return pi / 4 * diameter_in**2 * length_ft * IN_PER_FT / IN3_PER_BOARD_FT


def initial_depth_in(settled_in: Fraction, settle: Fraction) -> Fraction:
    """Return the depth to blow for `settled_in` to remain: settling is a share of initial depth."""
    return settled_in / (1 - settle)
