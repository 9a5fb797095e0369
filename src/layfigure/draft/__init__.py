"""From placement to pieces: one module a kind, and the solvers they share."""
