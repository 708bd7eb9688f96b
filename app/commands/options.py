"""Options that several commands share: RULES, the masters with what belongs to each, and where a project is written."""

import argparse
import re
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal, cast

from layout import edits, project_file
from layout.errors import BadFileError, BadValueError, CannotWriteError, FileExistsAlreadyError, UnknownNameError
from layout.masters import MOST_WANTED, read_master
from layout.masters.sizes import refuse_larger_than_box, size_warning
from layout.model import Box, BoxShape, Master, MasterId, Mix, Project, RectBox, RoundBox, Rules, Turn
from layout.tolerances import SHORTEST_PART_MM
from layout.units import LengthUnit, Units, parse_length_mm, parse_number, parse_size_mm

_TURNS = ("free", "90", "180", "0")


@dataclass(slots=True)
class TypedMaster:
    """One ``--master`` and the options behind it, as typed."""

    spec: str
    height: str | None = None
    units: str | None = None
    name: str | None = None
    count: str | None = None
    turn: str | None = None
    dpi: str | None = None


class _AddMaster(argparse.Action):
    def __call__(self, *arguments: Any, **_named: Any) -> None:
        _, namespace, values, _ = arguments
        namespace.masters = [*(namespace.masters or []), TypedMaster(str(values))]


class _OfMaster(argparse.Action):
    """An option that belongs to the ``--master`` before it; some mean the project or its outline before the first."""

    def __call__(self, *arguments: Any, **_named: Any) -> None:
        _, namespace, values, option = arguments
        masters: list[TypedMaster] = getattr(namespace, "masters", None) or []
        if masters:
            setattr(masters[-1], self.dest, str(values))
        elif self.dest in {"turn", "units"}:
            setattr(namespace, self.dest, str(values))
        else:
            raise BadValueError(option, "it stands before any --master", "put it after its --master")


def add_rules(parser: argparse.ArgumentParser) -> None:
    """Declare RULES."""
    group = parser.add_argument_group("rules", "lengths are mm, or like 1/4in and 2.5cm")
    group.add_argument("--box", metavar="LxW", help="rectangular box, inner length and width")
    group.add_argument("--round", metavar="D", help="round box, inner diameter")
    group.add_argument("--outline", metavar="FILE.dxf", help="box of any shape, its inner outline")
    group.add_argument("--wall", metavar="T", help="least silicone between two cavities (6.35)")
    group.add_argument("--edge", metavar="T", help="least silicone to the side of the box (9.525)")
    group.add_argument("--floor", metavar="T", help="silicone above the tallest master (9.525)")
    group.add_argument(
        "--freeboard", metavar="T", help="side above the pour line; auto: the larger of 9.525 and 10 %% of the pour"
    )
    group.add_argument(
        "--turn",
        action=_OfMaster,
        choices=_TURNS,
        help="turns a part may take: free, 90, 180, 0 (none); after a --master, of that one",
    )
    group.add_argument(
        "--silicone", metavar="MIX", help="a name from `materials`, or a=..,b=..,ratio=1:1v,pot=7@75F,.."
    )
    group.add_argument("--resin", metavar="MIX", help="likewise")
    group.add_argument("--panel", metavar="SHEET:T", help="sheet of the box and its measured thickness")
    group.add_argument(
        "--display", metavar="mm|in|in/32", help="what lengths are shown in; in/32: fractions of an inch"
    )
    group.add_argument(
        "--units",
        action=_OfMaster,
        choices=("mm", "in"),
        help="unit of a drawing that does not say it, or of a mesh: of the --outline, or of the --master before it",
    )


def add_masters(parser: argparse.ArgumentParser) -> None:
    """Declare ``--master`` and what may stand behind each."""
    group = parser.add_argument_group("masters", "repeat --master for more; the others belong to the --master before")
    group.add_argument(
        "--master",
        action=_AddMaster,
        dest="masters",
        metavar="M",
        help="disc:20x5, hex:19.05x6.35+dome:16x3, square:18x5, rect:30x12x8, oval:30x16x6, ring:30x18x6, poly5:22x8,"
        " bracket.dxf@8 or part.stl",
    )
    group.add_argument("--height", action=_OfMaster, metavar="H", help="height of an outline")
    group.add_argument("--name", action=_OfMaster, metavar="NAME", help="its name")
    group.add_argument("--count", action=_OfMaster, metavar="N", help="how many are wanted in a mixed box")
    group.add_argument("--dpi", action=_OfMaster, metavar="DPI", help="resolution of a scan")


def add_known_masters(parser: argparse.ArgumentParser) -> None:
    """Declare ``--master`` for a part that the project has, and what of it may be changed."""
    group = parser.add_argument_group("parts", "repeat --master for more; --turn and --count belong to the one before")
    group.add_argument("--master", action=_AddMaster, dest="masters", metavar="NAME", help="a part of the project")
    group.add_argument("--count", action=_OfMaster, metavar="N", help="how many are wanted in a mixed box; 0: not said")


def with_known_masters(project: Project, args: argparse.Namespace) -> Project:
    """Return the project with what was typed behind each ``--master`` that it has."""
    for typed in args.masters or []:
        master = project.master(master_called(project, typed.spec, "--master"))
        if typed.units is not None:
            raise BadValueError("--units", f"{typed.spec!r} is in the project already", "put it before --master")
        if typed.turn is None and typed.count is None:
            raise BadValueError("--master", f"nothing was said of {typed.spec!r}", "add --turn or --count behind it")
        if typed.turn is not None:
            master = replace(master, turn=cast("Turn", typed.turn))
        if typed.count is not None:
            count = whole_number(typed.count, "--count", least=0)
            if count > MOST_WANTED:
                raise BadValueError("--count", f"{count} is no number of parts", f"give up to {MOST_WANTED}")
            master = replace(master, wanted=count or None)
        project = edits.replace_master(project, master)
    return project


def master_called(project: Project, name: str, where: str) -> MasterId:
    """Return the id of the master that is called so: by id, else by name, else as it was typed for `new`."""
    if any(m.id == name for m in project.masters):
        return MasterId(name)
    for field in ("name", "source"):
        found = [m.id for m in project.masters if getattr(m, field) == name]
        if len(found) == 1:
            return found[0]
    known = ", ".join(m.id for m in project.masters) or "none"
    raise UnknownNameError(where, f"the project has no master {name!r}", f"use one of: {known}")


def read_masters(args: argparse.Namespace) -> tuple[Master, ...]:
    """Return the masters that were typed, in their order."""
    masters: list[Master] = []
    for typed in args.masters or []:
        masters.append(_read_typed(typed, [m.id for m in masters]))
    return tuple(masters)


def warn_of_odd_sizes(project: Project) -> None:
    """Say on stderr where a size looks like a slip of unit; once all is done, so that an error stays one line."""
    for master in project.masters:
        warning = size_warning(master)
        if warning:
            print(warning, file=sys.stderr)


def _read_typed(typed: TypedMaster, taken: list[Any]) -> Master:
    height = None
    if typed.height is not None:
        height = parse_length_mm(typed.height, "--height", least_mm=SHORTEST_PART_MM)
    count = None
    if typed.count is not None:
        count = whole_number(typed.count, "--count", least=1)
    master = read_master(
        typed.spec,
        height_mm=height,
        units=cast("LengthUnit | None", typed.units),
        name=typed.name,
        count=count,
        turn=cast("Turn | None", typed.turn),
        taken_ids=taken,
    )
    if typed.dpi is not None:
        raise BadValueError("--dpi", f"{typed.spec} is no scan", "leave it out")
    return master


def whole_number(text: str, where: str, *, least: int) -> int:
    """Return a typed whole number."""
    value = parse_number(text, where, least=least, most=1e9)
    if value != int(value):
        raise BadValueError(where, f"{text!r} is not a whole number", f"give {least} or more")
    return int(value)


def size_or_across(text: str, where: str) -> tuple[float, float, bool]:
    """Return a typed ``LxW``, or one length for both, the diameter of something round; and whether it was one."""
    if re.search(r"[xX×]", text):
        return *parse_size_mm(text, where), False
    across = parse_length_mm(text, where)
    if across <= 0.0:
        raise BadValueError(where, f"{text!r} is no size", "give a length above 0, or LxW")
    return across, across, True


def with_rules(project: Project, args: argparse.Namespace) -> Project:
    """Return the project with every rule that was typed; what was left out stays."""
    project = edits.set_rules(project, _rules(project.rules, args))
    box = project.box
    shape = typed_shape(args)
    if shape is not None:
        box = replace(box, shape=shape)
    if args.panel is not None:
        box = _with_panel(box, args.panel)
    if box != project.box:
        project = edits.set_box(project, box)
    if args.silicone is not None:
        project = edits.set_silicone(project, typed_mix(args.silicone, "silicone"))
    if args.resin is not None:
        project = edits.set_resin(project, typed_mix(args.resin, "resin"))
    if args.display is not None:
        project = replace(project, units=_display(args.display))
    refuse_larger_than_box(project)
    return project


def typed_mix(text: str, kind: Literal["silicone", "resin"]) -> Mix:
    """Return the material that ``--silicone`` or ``--resin`` names or describes."""
    from app.user_catalogue import catalogue
    from layout.materials import parse_mix

    return parse_mix(text, f"--{kind}", kind, catalogue())


def _rules(rules: Rules, args: argparse.Namespace) -> Rules:
    for option in ("wall", "edge", "floor", "freeboard"):
        typed = getattr(args, option)
        if typed is None:
            continue
        if option == "freeboard" and typed.strip().lower() == "auto":
            rules = replace(rules, freeboard_mm=None)
            continue
        value: Any = parse_length_mm(typed, f"--{option}", least_mm=0.0)
        rules = replace(rules, **{f"{option}_mm": value})
    if args.turn is not None:
        rules = replace(rules, turn=cast("Turn", args.turn))
    return rules


def typed_shape(args: argparse.Namespace) -> BoxShape | None:
    """Return the box that ``--box``, ``--round`` or ``--outline`` names; None if none was typed."""
    typed = [name for name in ("box", "round", "outline") if getattr(args, name) is not None]
    if len(typed) > 1:
        raise BadValueError(f"--{typed[1]}", f"--{typed[0]} was given too", "give one box")
    if args.box is not None:
        length, width = parse_size_mm(args.box, "--box")
        if min(length, width) < SHORTEST_PART_MM:
            raise BadValueError("--box", f"{args.box!r} is too small", "give the inner size of the box in mm")
        return RectBox(length, width)
    if args.round is not None:
        return RoundBox(parse_length_mm(args.round, "--round", least_mm=SHORTEST_PART_MM))
    if args.outline is not None:
        return _box_outline(args.outline, cast("LengthUnit | None", args.units))
    return None


def _box_outline(typed: str, units: LengthUnit | None) -> BoxShape:
    from layout.masters.outline import read_box_outline

    path = Path(typed)
    if path.is_dir() or not path.exists():
        problem = "it is a folder" if path.is_dir() else "there is no such file"
        raise BadFileError(typed, problem, "name a DXF file with the inside of the box")
    return read_box_outline(path, units)


def _with_panel(box: Box, typed: str) -> Box:
    from app.user_catalogue import catalogue
    from layout.materials import built_in, find_sheet, refuse_thickness, same_name

    name, colon, thickness = typed.rpartition(":")
    if not colon:
        name = typed
    sheet = find_sheet(name.strip(), "--panel", catalogue())
    thickness_mm = sheet.thickness_mm
    if colon:
        thickness_mm = parse_length_mm(thickness, "--panel", least_mm=SHORTEST_PART_MM)
    refuse_thickness(sheet, thickness_mm, "--panel")
    measured = box.stiffness_gpa if same_name(sheet.name, box.sheet) else None
    if measured is None and not any(same_name(s.name, sheet.name) for s in built_in().sheets):
        measured = sheet.e_gpa
    return replace(box, sheet=sheet.name, thickness_mm=thickness_mm, stiffness_gpa=measured)


def _display(typed: str) -> Units:
    unit, slash, denominator = typed.strip().lower().partition("/")
    if unit not in {"mm", "in"} or (slash and unit != "in"):
        raise BadValueError("--display", f"{typed!r} is not known", "write mm, in or in/32")
    if not slash:
        return Units(cast("LengthUnit", unit), 0 if unit == "in" else Units().denominator)
    parts = whole_number(denominator, "--display", least=1)
    if parts not in {2, 4, 8, 16, 32, 64}:
        raise BadValueError("--display", f"{typed!r} is no fraction of a rule", "write in/16, in/32 or in/64")
    return Units("in", parts)


def add_output(parser: argparse.ArgumentParser) -> None:
    """Declare FILE, ``-o`` and ``--force`` of a command that changes a project."""
    parser.add_argument("file", metavar="FILE", help="the project")
    parser.add_argument("-o", dest="out", metavar="OUT", help="write here and leave FILE as it is")
    parser.add_argument("--force", action="store_true", help="write over OUT even if it is no project")


def refuse_place(path: Path) -> None:
    """Raise if no file can be at a path: it is a folder, or its folder is missing."""
    if path.is_dir():
        raise CannotWriteError(str(path), "it is a folder", "give the name of a file")
    if not path.absolute().parent.is_dir():
        raise CannotWriteError(str(path), f"there is no folder {path.parent}", "make the folder first")


def refuse_output(args: argparse.Namespace) -> None:
    """Raise if the result can't be written where it was asked for; ask before long work."""
    out = Path(args.out if args.out is not None else args.file)
    refuse_place(out)
    if args.out is None or args.force or not out.exists():
        return
    try:
        project_file.load(out)
    except BadFileError as error:
        raise FileExistsAlreadyError(
            str(out), "the file exists and is no project", "give another name or add --force"
        ) from error


def write_result(args: argparse.Namespace, project: Project) -> str:
    """Write the changed project to OUT or FILE; return the path written."""
    refuse_output(args)
    out = args.out if args.out is not None else args.file
    project_file.save(project, out)
    return str(out)
