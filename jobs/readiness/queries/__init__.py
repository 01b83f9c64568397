"""Reads of readiness: outlooks, calls to make, conditions."""
