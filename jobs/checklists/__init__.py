"""Superintendents' checklists: links, codes, answers and receipts."""
