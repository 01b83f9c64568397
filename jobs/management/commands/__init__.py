"""Commands of `jobs`; each calls one service."""
