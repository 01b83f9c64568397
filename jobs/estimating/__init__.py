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
from jobs.estimating.estimated import (
    Assumed,
    Estimate,
    EstimatedStep,
    ExplainedFigure,
    Load,
    SpaceEstimate,
    SpaceWarning,
    StepFacts,
)
from jobs.estimating.files import (
    estimate_file,
    figures_file,
    figures_read,
    kept_file,
    loads_file,
    loads_read,
    space_read,
)
from jobs.estimating.learning import Finished, Learned, learn_for, learn_rate, prior_sigma
from jobs.estimating.reading import TakeoffError

__all__ = [
    "EDITIONS",
    "SPACE_KINDS",
    "STEP_ORDER",
    "Assumed",
    "Estimate",
    "EstimatedStep",
    "ExplainedFigure",
    "Finished",
    "Learned",
    "Load",
    "SpaceEstimate",
    "SpaceWarning",
    "StepFacts",
    "TakeoffError",
    "ceiling_without_attic",
    "check_cavity_chart",
    "check_chart",
    "code_target",
    "dates_fault",
    "estimate_file",
    "estimate_takeoff",
    "figures_file",
    "figures_read",
    "kept_file",
    "learn_for",
    "learn_rate",
    "loads_file",
    "loads_read",
    "prior_sigma",
    "raised_heel_r",
    "space_read",
    "vent_area_in2",
]
