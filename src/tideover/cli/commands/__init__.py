"""One module per command; each holds one click command named ``command``."""
