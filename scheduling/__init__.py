"""When, by whom and with which machine: weeks, planning runs, crews' days and checklists."""
