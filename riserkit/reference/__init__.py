"""The reference set: every wiring arrangement with its variants, without a site, on shipped generic parts."""
