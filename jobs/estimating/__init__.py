"""Estimating: from measured spaces to bags, machine time and crew time; pure, knows no database."""

from jobs.estimating.estimate import SPACE_KINDS, STEP_ORDER, estimate_takeoff
from jobs.estimating.reading import TakeoffError

__all__ = ["SPACE_KINDS", "STEP_ORDER", "TakeoffError", "estimate_takeoff"]
