"""Writes about jobs, customers, sites and drives."""
