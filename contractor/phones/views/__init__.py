"""Pages about phones: the office's and a lead's own, and the link that signs one in."""
