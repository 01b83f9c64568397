"""The contractor's catalogue of conditions, and what of it a house needs."""
