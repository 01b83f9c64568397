"""Pages of `scheduling`: each calls one query or one service; rules live elsewhere."""
