"""Pages on which a space is measured."""
