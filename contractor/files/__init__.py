"""Files that people send: photographs, read with care."""
