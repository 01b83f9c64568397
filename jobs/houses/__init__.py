"""A house with its site, dates, owner and history."""
