"""The order: from one original to the parts delivered."""
