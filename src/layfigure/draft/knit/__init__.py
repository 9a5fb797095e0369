"""Close-fitting garments of stretch cloth, their windows and edges."""
