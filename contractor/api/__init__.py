"""What all APIs share; apart from each other because DRF loads permissions before its views."""
