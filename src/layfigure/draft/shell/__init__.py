"""Domes, helms, horns and meshes laid flat in gores and strips."""
