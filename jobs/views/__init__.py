"""Pages of `jobs`: each calls one query or one service; rules live elsewhere."""
