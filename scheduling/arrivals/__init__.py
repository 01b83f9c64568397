"""When crews arrive, and who was told."""
