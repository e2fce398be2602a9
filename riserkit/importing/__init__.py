"""Documents in: what readers found in plans, models and lists becomes the ordinary tables of a site, merged three ways.

A reader knows its format and yields facts; what they mean for a site is decided here, alike for every format. Nothing here
opens a document.
"""
