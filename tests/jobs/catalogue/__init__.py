"""The catalogue of conditions as the contractor's own data."""
