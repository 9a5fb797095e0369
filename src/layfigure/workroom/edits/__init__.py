"""Edits of the maker's files, text to text: what a page asks for, made where it belongs and nowhere else."""
