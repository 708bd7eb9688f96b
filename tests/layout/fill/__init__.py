"""Tests of the fill."""
