"""The design: body-independent edges, motifs and piece statements, and the maker's files."""
