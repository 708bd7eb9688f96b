"""The panels of the Cavities page."""
