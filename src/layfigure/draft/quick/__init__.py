"""One piece now, from a few tapes."""
