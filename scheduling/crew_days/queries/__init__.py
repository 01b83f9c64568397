"""Reads of crew-days."""
