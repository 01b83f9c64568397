"""Writes about rates and actuals."""
