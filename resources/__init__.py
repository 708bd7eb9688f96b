"""Data shipped with the program; read it with importlib.resources."""
