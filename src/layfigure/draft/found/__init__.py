"""Things that are bought, printed, altered or owned."""
