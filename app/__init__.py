"""The program: a command line and a window over `layout`."""
