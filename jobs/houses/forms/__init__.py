"""Forms of a house."""
