"""Edits of the maker's files: text in, text out. Comments and order stay as the maker has them."""
