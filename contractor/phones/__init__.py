"""Phones of crew leads: links of the office that sign them in, and what becomes of them."""
