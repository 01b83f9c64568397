"""Estimating: from measured spaces to bags, machine time and crew time; pure, knows no database."""

from jobs.estimating.chart_checks import check_cavity_chart, check_chart, dates_fault
from jobs.estimating.codes import (
    EDITIONS,
    ceiling_without_attic,
    code_target,
    raised_heel_r,
    vent_area_in2,
)
from jobs.estimating.estimate import SPACE_KINDS, STEP_ORDER, estimate_takeoff
from jobs.estimating.learning import Finished, Learned, learn_for, learn_rate, prior_sigma
from jobs.estimating.reading import TakeoffError

__all__ = [
    "EDITIONS",
    "SPACE_KINDS",
    "STEP_ORDER",
    "Finished",
    "Learned",
    "TakeoffError",
    "ceiling_without_attic",
    "check_cavity_chart",
    "check_chart",
    "code_target",
    "dates_fault",
    "estimate_takeoff",
    "learn_for",
    "learn_rate",
    "prior_sigma",
    "raised_heel_r",
    "vent_area_in2",
]
