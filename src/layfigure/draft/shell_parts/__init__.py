"""What the kind ``shell`` is made of: caps and helms in gores, horns in strips, meshes of the maker's own."""
