"""Keeping facts and drawing from them."""
