"""The page of the evening before."""
