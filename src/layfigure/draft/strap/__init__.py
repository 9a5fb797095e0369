"""Straps of a harness, pulled tight over the body."""
