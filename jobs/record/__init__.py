"""The record of what became of builders' words, and what crews found."""
