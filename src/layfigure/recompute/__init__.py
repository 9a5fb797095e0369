"""One recompute graph and one job protocol for every engine."""
