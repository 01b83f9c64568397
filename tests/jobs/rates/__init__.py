"""Tests of rates, charts and actuals."""
