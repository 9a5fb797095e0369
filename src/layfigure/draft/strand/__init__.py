"""Beads, chain and cord along a line."""
