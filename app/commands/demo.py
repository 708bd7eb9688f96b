"""`demo`: an invented order, made by the very commands a user would type; each is shown.

A stage workshop builds the engine room of a submarine that never was: bolt heads for its plates, rosettes for the
captain's door, from one original of each.
"""

import argparse
import contextlib
import io
import shlex
import sys
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path
from typing import Final

from app.commands.answers import answer
from app.commands.exporting import refuse_existing, write_export
from layout.errors import CannotWriteError, FileExistsAlreadyError

HELP = "make an invented order, with every output, in a folder"
EXAMPLE = "manymold demo demo-order"

ROSETTE: Final = "rosette.dxf"

STEPS: Final = (
    "new bolt-heads.manymold --box 9inx8in --panel 'foam board:4.7mm' --display in/32"
    " --master hex:19.05x6.35+dome:16x3 --name 'Bolt head'",
    "fill bolt-heads.manymold --rounds 6",
    "check bolt-heads.manymold",
    "panels bolt-heads.manymold -o bolt-heads-panels.dxf",
    "panels bolt-heads.manymold -o bolt-heads-panels.svg",
    "template bolt-heads.manymold -o bolt-heads-template.pdf",
    "report bolt-heads.manymold -o bolt-heads-pour.pdf",
    "report bolt-heads.manymold -o bolt-heads-pour.html",
    "report bolt-heads.manymold -o bolt-heads-pour.csv",
    "plan bolt-heads.manymold --parts 400 --days 5 --cavities 64 --calendar bolt-heads-calendar.csv"
    " --purchases bolt-heads-purchases.csv",
    f"new rosettes.manymold --box 220x160 --master {ROSETTE}@7 --name Rosette",
    "place rosettes.manymold --keep-out 110,6,24x12",
    "fill rosettes.manymold --rounds 6",
    "check rosettes.manymold",
    "panels rosettes.manymold -o rosettes-panels.dxf --joint tab",
    "report rosettes.manymold -o rosettes-pour.pdf",
)
"""What the demo types, in the order of the job."""

PICTURES: Final = ("bolt-heads", "rosettes")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("dir", metavar="DIR", help="the folder to write to; made if it is missing")
    parser.add_argument("--force", action="store_true", help="write over the files of an earlier demo")


def run(args: argparse.Namespace) -> int:
    folder = Path(args.dir).absolute()
    targets = [folder / name for name in _file_names()]
    _make_folder(folder, targets, force=args.force)
    write_export(folder / ROSETTE, rosette_dxf(), force=True)
    with contextlib.chdir(folder):
        for step in STEPS:
            _type(step)
        for name in PICTURES:
            _draw(name)
    listed = "\n".join(f"  {path.relative_to(folder)}" for path in targets)
    answer(args, {"files": [str(path) for path in targets]}, f"Wrote to {args.dir}:\n{listed}")
    return 0


def rosette_dxf() -> bytes:
    """Return the outline of the demo's rosette as the bytes of a DXF file."""
    return files("resources").joinpath("demo", ROSETTE).read_bytes()


def _file_names() -> Iterator[str]:
    yield ROSETTE
    for step in STEPS:
        words = shlex.split(step)
        if words[0] == "new":
            yield words[1]
        for option in ("-o", "--calendar", "--purchases"):
            if option in words:
                yield words[words.index(option) + 1]
    for name in PICTURES:
        yield f"{name}-layout.svg"
        yield f"{name}-layout.png"


def _make_folder(folder: Path, targets: list[Path], *, force: bool) -> None:
    if folder.exists() and not folder.is_dir():
        raise CannotWriteError(str(folder), "it is a file", "give the name of a folder")
    standing = [path.name for path in targets if path.exists()]
    if standing and not force:
        raise FileExistsAlreadyError(str(folder), f"it holds {standing[0]}", "give another folder or add --force")
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise CannotWriteError(str(folder), f"it can't be made ({reason})", "choose another place") from error
    for path in targets:
        refuse_existing(path, force)


def _type(step: str) -> None:
    from app.commands.run import run_command

    print(f"manymold {step}", file=sys.stderr)
    words = shlex.split(step)
    if words[0] in {"new", "panels", "template", "report", "plan"}:
        words.append("--force")
    with contextlib.redirect_stdout(io.StringIO()):
        run_command(words)


def _draw(name: str) -> None:
    from app.printing.picture import png_bytes
    from layout import project_file
    from layout.documents.picture import layout_svg

    svg = layout_svg(project_file.load(Path(f"{name}.manymold")))
    write_export(Path(f"{name}-layout.svg"), svg.encode(), force=True)
    write_export(Path(f"{name}-layout.png"), png_bytes(svg, 1600), force=True)
