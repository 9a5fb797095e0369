"""What the workroom answers, one module a moment of the work."""
