"""The phone's pages."""
