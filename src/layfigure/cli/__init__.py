"""The command line: parse, call the library, show."""
