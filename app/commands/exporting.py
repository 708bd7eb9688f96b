"""What every export shares: a layout that breaks a rule is not exported unless accepted; a file is replaced safely."""

import argparse
import contextlib
from dataclasses import replace
from pathlib import Path

from app.commands.options import refuse_place
from layout import edits
from layout.advice import KINDS
from layout.checks import check
from layout.errors import BadValueError, CannotWriteError, FileExistsAlreadyError, RulesBrokenError, UnknownNameError
from layout.limits import TABLE
from layout.model import Finding, Project, Severity
from layout.numbering import by_name
from layout.project_file import SUFFIX
from layout.safe_write import write_beside
from layout.wording import RULES, head, is_rule, message


def add_export_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare ``--accept`` and ``--force``."""
    parser.add_argument(
        "--accept",
        action="append",
        default=[],
        metavar="KIND=REASON",
        help="export although this kind of rule is broken, for a reason (repeat for each kind)",
    )
    parser.add_argument("--force", action="store_true", help="write over a file that exists")


def add_take_back_argument(parser: argparse.ArgumentParser) -> None:
    """Declare ``--take-back``."""
    parser.add_argument(
        "--take-back", action="append", default=[], metavar="KIND", help="forget the reason kept for a kind (repeat)"
    )


def without_taken_back(project: Project, kinds: list[str]) -> Project:
    """Return the project without the reasons kept for these kinds; a LayoutError for one that has none."""
    for kind in kinds:
        if kind.strip() not in {o.kind for o in project.overrides}:
            kept = ", ".join(o.kind for o in project.overrides) or "none"
            raise UnknownNameError("--take-back", f"no reason is kept for {kind.strip()!r}", f"kept are: {kept}")
    gone = {kind.strip() for kind in kinds}
    return replace(project, overrides=tuple(o for o in project.overrides if o.kind not in gone))


def told_overrides(project: Project, findings: tuple[Finding, ...]) -> tuple[str, ...]:
    """Return what is refused and was taken on, with the reason, to be said again whenever a file is written."""
    reasons = {o.kind: o.reason for o in project.overrides}
    told = dict.fromkeys(f.kind for f in findings if f.severity == Severity.REFUSE and f.kind in reasons)
    return tuple(
        f"{_of_kind([f for f in findings if f.kind == kind], project)} Taken on: {reasons[kind]}" for kind in told
    )


def with_accepted(project: Project, accepted: list[str]) -> Project:
    """Return the project with what ``--accept`` names taken on; a LayoutError where it can't be read."""
    for text in accepted:
        kind, equals, reason = text.partition("=")
        if not equals or not kind.strip():
            raise BadValueError("--accept", f"{text!r} names no kind and reason", "write it like thin_wall=trial piece")
        if kind.strip() not in RULES | KINDS:
            known = ", ".join(sorted(RULES | {row.kind for row in TABLE if row.refuse is not None}))
            raise BadValueError("--accept", f"there is no rule or advice called {kind.strip()!r}", f"such as {known}")
        project = edits.accept(project, kind.strip(), reason)
    return project


def refuse_broken_rules(project: Project, findings: tuple[Finding, ...] | None = None, where: str = "") -> None:
    """Raise RulesBrokenError if a rule is broken whose kind is not among the project's overrides.

    Parameters
    ----------
    project : Project
    findings : tuple of Finding, optional
        What to judge by; None: the geometric check.
    where : str
        The project's file, for the error; empty: its name.

    Notes
    -----
    The sentence says what is at fault, once for each kind, in the words of `check` and of the pour sheet, the remedy in
    them, and names every kind to accept.
    """
    found = check(project) if findings is None else findings
    taken = {override.kind for override in project.overrides}
    broken = [f for f in found if f.severity == Severity.REFUSE and f.kind not in taken]
    if not broken:
        return
    kinds = tuple(dict.fromkeys(f.kind for f in broken))
    said = " ".join(_of_kind([f for f in broken if f.kind == kind], project) for kind in kinds)
    mend = "mend the layout" if all(is_rule(f) for f in broken) else "do as it says"
    remedy = f"{mend}, or add " + " ".join(f"--accept {kind}=REASON" for kind in kinds)
    problem = f"nothing was written. {said.rstrip('.')}"
    raise RulesBrokenError(where or project.name or "project", problem, remedy, kinds)


def _of_kind(broken: list[Finding], project: Project) -> str:
    """What is said of the findings of one kind: the first, and how many more there are."""
    first = message(by_name(broken[:1], project)[0], project.units)
    more = f" (and {len(broken) - 1} more like it)" if len(broken) > 1 else ""
    return f"{head(broken[0])}: {first.rstrip('.')}{more}."


def refuse_existing(path: Path, force: bool) -> None:
    """Raise if the file can't be written here: it exists and ``force`` is not given, or its folder is missing."""
    refuse_place(path)
    if path.exists() and not force:
        raise FileExistsAlreadyError(str(path), "the file exists", "give another name or add --force")


def write_export(path: Path, data: bytes, *, force: bool) -> None:
    """Write a file whole or not at all, beside its place first, then moved over it.

    Raises
    ------
    CannotWriteError
        If it exists and ``force`` is not given, or the folder can't be written.
    """
    write_exports({path: data}, force=force)


def write_exports(files: dict[Path, bytes], *, force: bool) -> None:
    """Write several files, none if one of them can't be written; see `write_export`."""
    for path, data in files.items():
        refuse_existing(path, force)
        _refuse_lost_project(path, data)
    ready: list[tuple[Path, Path]] = []
    path = next(iter(files))
    try:
        for path, data in files.items():
            ready.append((write_beside(path, data), path))
        for temporary, path in ready:
            temporary.replace(path)
    except OSError as error:
        for temporary, _ in ready:
            with contextlib.suppress(OSError):
                temporary.unlink()
        reason = error.strerror or "the system refused"
        raise CannotWriteError(str(path), f"it can't be written ({reason.lower()})", "choose another folder") from error


def _refuse_lost_project(path: Path, data: bytes) -> None:
    """Raise if this would put something else in the place of a project: no ``--force`` is meant so."""
    if path.exists() and path.suffix.lower() == SUFFIX and data.lstrip()[:1] != b"{":
        raise CannotWriteError(str(path), "a project is there, and this is none", "give the export a name of its own")
