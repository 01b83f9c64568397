"""Mail out of the house: written with the change it tells of, sent by whoever comes by."""
