"""Edits and explains a plan that is there; knows no solver."""
