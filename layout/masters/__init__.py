"""Readers: simple solids, outlines and meshes to a Master."""
