"""The planner's own command line; knows no Django and loads a solver only to solve."""

from __future__ import annotations

import os
import sys

from scheduling.planning.stopping import hear_signals

if sys.argv[1:2] == ["solve"]:
    # Before the rest is loaded: a solve that is told to stop while it starts ends with a plan.
    hear_signals()

from scheduling.planning.commands import main

status = main(sys.argv[1:])
sys.stdout.flush()
sys.stderr.flush()
# A thread of a solver that is slow to stop must not hold up the end, nor crash it.
os._exit(status)
