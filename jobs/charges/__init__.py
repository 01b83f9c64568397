"""Work taken over from others, and its back-charges."""
