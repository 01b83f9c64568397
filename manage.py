#!/usr/bin/env python
"""Django's command line for Baywright; it knows only where the settings are."""

import os
import sys

from django.core.management import execute_from_command_line

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "contractor.settings")
    execute_from_command_line(sys.argv)
