"""What the kind ``woven`` is made of: one garment or one part of a garment a module."""
