"""How ready houses are, and the moves and calls that make them so."""
