"""Filling a box with the most cavities: a few methods behind one face, `layout.fill.fill`."""
