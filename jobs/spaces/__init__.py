"""The measured spaces of a house, and what they would make."""
