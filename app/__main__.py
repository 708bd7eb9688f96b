"""Start-up: the command line, or the window if no command is named."""

import sys


def main(arguments: list[str] | None = None) -> int:
    """Run the program and return its exit code."""
    from app.commands.run import run

    return run(sys.argv[1:] if arguments is None else arguments)


if __name__ == "__main__":
    sys.exit(main())
