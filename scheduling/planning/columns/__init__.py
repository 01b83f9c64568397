"""Finds columns: the crew-days that are worth having, at prices; knows no plan."""
