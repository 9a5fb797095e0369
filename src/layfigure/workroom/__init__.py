"""The workroom: the local web app, thin over the library."""
