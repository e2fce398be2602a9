"""Tests of the network stage."""
