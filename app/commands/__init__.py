"""The command line: one small file a command, no logic of its own."""
