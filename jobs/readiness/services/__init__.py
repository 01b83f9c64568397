"""Moves of conditions, whoever asks for them."""
