"""Crews that were turned away."""
