"""Questions to the user, each its own small window."""
