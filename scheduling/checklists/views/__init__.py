"""The superintendent's pages."""
