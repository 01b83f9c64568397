"""What superintendents see and are sent: checklist, digest, paper."""
