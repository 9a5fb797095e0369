"""Stiff sheets bent round the body: guards, plates, bands, lattices, boot covers."""
