"""Cutters and sheets: the kerf each leaves, what is refused, what to mind. The product's own safety data go first."""

from typing import Final

from layout.box.panel import Cutter
from layout.errors import BadValueError
from layout.materials import Catalogue, Sheet, built_in
from layout.model import Joint

KERF_MM: Final[dict[Cutter, float]] = {"knife": 0.0, "laser": 0.2, "router": 3.175}
"""Width a cutter takes away if the user gives none: laser 0.1 to 0.3 mm, router its bit (1/8 in). Common practice, no
source."""

_PVC: Final = ("pvc", "vinyl")
_FOAM: Final = ("foam", "styren")


def _says(sheet: str, words: tuple[str, ...]) -> bool:
    return any(word in sheet.lower() for word in words)


def refuse_laser(sheet: str, cutter: Cutter, known: tuple[Sheet, ...] = (), where: str = "--cutter laser") -> None:
    """Raise for a sheet that must not go under a laser, or whose kind is not known; there is no override.

    Parameters
    ----------
    sheet : str
        Its name. Only the entry of that name says that a laser may cut it: another name for PVC opens nothing.
    cutter : Cutter
    known : tuple of Sheet
        Sheets the user has entered beside the program's own, which go first.
    where : str
        The option or field, for the error.

    Raises
    ------
    BadValueError
        PVC gives off hydrogen chloride and chlorine, polystyrene foam melts and is likely to catch fire: both are on
        the banned lists of university laser shops.
    """
    if cutter != "laser":
        return
    if _says(sheet, _PVC):
        raise BadValueError(
            where,
            f"a laser turns {sheet} into chlorine and acid fumes that poison people and eat the machine",
            "cut it with a knife or a router",
        )
    if _says(sheet, _FOAM):
        raise BadValueError(
            where,
            f"the core of {sheet} melts under a laser and is likely to catch fire",
            "cut it with a knife",
        )
    entry = _catalogued(sheet, known)
    if entry is None:
        raise BadValueError(
            where,
            f"what {sheet or 'a sheet without a name'} is made of is not known, and an unknown plastic may be PVC,"
            " whose fumes poison people",
            "choose the sheet by its kind in the catalogue, or cut it with a knife or a router",
        )
    if entry.no_laser or "laser" not in entry.cutters:
        raise BadValueError(where, f"{sheet} must not go under a laser", f"use {' or '.join(entry.cutters)}")


def _catalogued(sheet: str, known: tuple[Sheet, ...] = ()) -> Sheet | None:
    return built_in().sheet(sheet) or Catalogue(sheets=known).sheet(sheet)


def is_foldable(sheet: str) -> bool:
    """Return whether a sheet folds along a half cut: a core with paper on both faces, or card."""
    return any(word in sheet.lower() for word in ("foam", "card", "paper"))


def require_foldable(sheet: str, where: str, remedy: str = "use foam board, or another joint") -> None:
    """Raise for a sheet that does not fold along a half cut.

    Raises
    ------
    BadValueError
    """
    if not is_foldable(sheet):
        raise BadValueError(where, f"{sheet} does not fold along a half cut", remedy)


def cautions(sheet: str, cutter: Cutter, joint: Joint = "butt") -> tuple[str, ...]:
    """Return what to mind with this cutter, this sheet and this joint, a sentence each."""
    found = [_CUTTER_CAUTIONS[cutter]]
    if cutter == "router" and joint == "tab":
        found.append("A router leaves the inner corners of notches as round as its bit: square them with a file.")
    found.extend(text for words, text in _SHEET_CAUTIONS if _says(sheet, words))
    known = _catalogued(sheet)
    if known is not None and cutter not in known.cutters:
        found.append(f"{sheet[:1].upper()}{sheet[1:]} is usually cut by {' or '.join(known.cutters)}, not by {cutter}.")
    if cutter == "laser":
        found.append("Ask the shop whether its laser may cut this very sheet; the sheet's safety data decide.")
    found.append("Follow the safety data of the sheet and the glue, and your local rules.")
    return tuple(found)


_CUTTER_CAUTIONS: Final[dict[Cutter, str]] = {
    "knife": "Knife: new blade, several light passes along a steel edge, the holding hand behind the blade or under a"
    " guard. Hot glue burns.",
    "laser": "Laser: stay with it while it runs, exhaust on, extinguisher at hand; never cut an unknown plastic.",
    "router": "Router: clamp the sheet, eye and ear protection, dust extraction and a mask.",
}
_SHEET_CAUTIONS: Final = (
    (("mdf", "melamine", "plywood", "wood"), "Sawing and sanding boards makes fine dust: extraction and a mask."),
    (
        ("acrylic",),
        "Acrylic splinters when it is snapped and its edges cut: eye protection, gloves off the blade line.",
    ),
    (_FOAM, "A hot wire gives styrene fumes: ventilate, or use a knife."),
    (_PVC, "PVC dust and hot PVC fumes harm the lungs: no heat, extraction and a mask."),
)
