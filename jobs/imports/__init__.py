"""From a sheet's rows to what they make and change, all of it or nothing."""
