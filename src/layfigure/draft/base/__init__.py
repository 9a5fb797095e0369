"""Owned paper patterns: which, which size, what to alter."""
