"""Writes about checklists."""
