"""Tests of what a site is and how records become one."""
