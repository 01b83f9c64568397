"""Tests of the writes of `jobs`."""
