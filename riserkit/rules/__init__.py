"""One file a rule: its name, source, why it matters, what it measures, the remedy.

A module here that holds a rule class is a shipped rule; a plugin adds rules through the hook `more_rules`.
`riserkit.rules._shared.evaluate.check` runs them all. Helpers stand in `_shared`.
"""
