"""Tests of job sheets."""
