"""What must hold under crowds, sudden ends and hostile hands; each check reports its figure."""
