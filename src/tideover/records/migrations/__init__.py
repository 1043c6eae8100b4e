"""How the tables came to be, one step per file; steps only ever add."""
