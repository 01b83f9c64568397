"""No property of the estimating is judged by the clock: a busy machine is no failure."""

from hypothesis import settings

settings.register_profile("no clock", deadline=None)
settings.load_profile("no clock")
