"""Pages of back-charges, and the form that takes a condition over."""
