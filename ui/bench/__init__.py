"""The mechanics bench: bodies, lumps, balances and pushes, drawn and asked for."""
