"""The command line: one thin file for each group of commands."""
