"""What is to be done: houses, their spaces, steps, conditions and estimates."""
