"""Start-up: the command line, or the window if no command is named."""

import os
import sys


def main(arguments: list[str] | None = None) -> int:
    """Run the program and return its exit code."""
    words = sys.argv[1:] if arguments is None else arguments
    from app.commands.run import COMMAND_NAMES, run

    if not words:
        return _window(None)
    if len(words) == 1 and not words[0].startswith("-") and words[0] not in COMMAND_NAMES and _is_file(words[0]):
        return _window(words[0])
    return run(words)


def _is_file(word: str) -> bool:
    """Whether a lone word means a project to open, not a slip in a command's name."""
    from pathlib import Path

    return Path(word).exists() or word.endswith(".manymold")


def _window(file: str | None) -> int:
    from app.start import open_window

    return open_window(file)


def start() -> None:
    """Run the program and end the process with its exit code.

    Notes
    -----
    A search that was stopped may leave a thread behind that still compiles. The interpreter must not be taken down
    under it: the compiler ends such a process with a fault. So once everything is written, the process just ends.
    """
    code = main()
    threading = sys.modules.get("threading")
    if threading and threading.active_count() > 1:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)
    sys.exit(code)


if __name__ == "__main__":
    start()
