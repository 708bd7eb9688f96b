"""Arguments to one command, errors to one line on stderr, results to an exit code."""

import argparse
import importlib
import os
import sys
from typing import NoReturn, Protocol

from layout.errors import BadValueError, LayoutError, RulesBrokenError

DONE = 0
RULES_BROKEN = 1
BAD_INPUT = 2
UNFINISHED = 3
"""Interrupted, or a wanted number or date was not reached."""

COMMAND_NAMES: tuple[str, ...] = (
    "new",
    "set",
    "place",
    "fill",
    "size",
    "even",
    "check",
    "show",
    "panels",
    "template",
    "stiffness",
    "report",
    "plan",
    "rigid",
    "materials",
    "demo",
)
"""In the order of the job; each is a module of this package."""


class Command(Protocol):
    """What a command's module offers."""

    HELP: str
    EXAMPLE: str

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Declare the command's arguments."""

    def run(self, args: argparse.Namespace) -> int:
        """Do it and return the exit code; raise a LayoutError for bad input."""


class OneLineParser(argparse.ArgumentParser):
    """A parser whose errors are one sentence."""

    def error(self, message: str) -> NoReturn:
        """Raise instead of printing the usage."""
        raise BadValueError(self.prog, message, f"see {self.prog} --help")


def build_parser() -> OneLineParser:
    """Return the parser of every command."""
    parser = OneLineParser(
        prog="manymold",
        description="Lay out a gang mold, check its walls, cut its box, mix its pour and plan its order.",
        epilog="Without a command, manymold [FILE] opens the window.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"manymold {_version()}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name in COMMAND_NAMES:
        module: Command = importlib.import_module(f"app.commands.{name}")
        sub = commands.add_parser(
            name,
            help=module.HELP,
            description=module.HELP,
            epilog=f"example: {module.EXAMPLE}",
            allow_abbrev=False,
        )
        module.add_arguments(sub)
        sub.add_argument("--json", action="store_true", help="print one JSON document and nothing else")
        sub.set_defaults(run=module.run)
    return parser


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("manymold")
    except PackageNotFoundError:  # run from a checkout that is not installed
        return "(not installed)"


def run_command(arguments: list[str]) -> int:
    """Run one command and return its exit code; a LayoutError for bad input."""
    args = build_parser().parse_args(arguments)
    code: int = args.run(args)
    return code


def run(arguments: list[str]) -> int:
    """Run one command, errors as one line on stderr; see the exit codes of this module."""
    try:
        code = run_command(arguments)
        sys.stdout.flush()
        return code
    except BrokenPipeError:
        # who reads the answer has read enough (`| head`): nobody is left to tell
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except LayoutError as error:
        print(" ".join(str(error).split()), file=sys.stderr)
        return RULES_BROKEN if isinstance(error, RulesBrokenError) else BAD_INPUT
    except ImportError as error:
        # a fresh machine may lack a system library that drawing needs
        from app.start import APT_LINE

        if "PySide6" not in str(error) and ".so" not in str(error):
            raise
        print(
            f"manymold: drawing needs a library that is missing ({error}); install it with: {APT_LINE}", file=sys.stderr
        )
        return BAD_INPUT
    except KeyboardInterrupt:
        print("Stopped.", file=sys.stderr)
        return UNFINISHED
