"""Pieces laid on rolls, sheets and hides: what to buy, and how to cut it."""
