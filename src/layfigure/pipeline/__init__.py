"""The whole job over the library: read the maker's files, run the stages, write the results."""
