"""Tests of the pure estimating."""
