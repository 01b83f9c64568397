"""Tests of imports."""
