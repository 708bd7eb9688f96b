"""The canvas: view, scene, items that only paint, and interactions that take points in mm."""
