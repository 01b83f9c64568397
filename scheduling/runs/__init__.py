"""How planning runs are done in the background; the row is the truth, all else only a doorbell."""
