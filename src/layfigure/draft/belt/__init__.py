"""Belts: the line they lie on, the strap, and what hangs from it."""
