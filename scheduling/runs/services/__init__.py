"""Asking for planning runs and deciding on their proposals."""
