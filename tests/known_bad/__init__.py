"""Designs that must not pass, and designs that must: data in TOML, one file a theme, judged by the whole program."""
