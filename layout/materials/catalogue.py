"""The catalogue of silicones, resins and sheets.

The program's own catalogue lies in `resources`; the user's is handed in by the app (this module reads no disk of the
user's). Every number is an editable default typical of published data sheets: the data sheet of the lot in hand wins.
"""

import json
from dataclasses import asdict, dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Final, Literal

from layout.errors import BadFileError, BadValueError, UnknownNameError
from layout.model import Mix
from layout.tolerances import LONGEST_LENGTH_MM
from layout.units import MILLIMETRES, Units, length_text, plain_text

Kind = Literal["silicone", "resin"]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet that boxes are cut from.

    Parameters
    ----------
    name : str
    thickness_mm : float
        What it is sold as; the project holds the measured one.
    least_mm, most_mm : float
        The range it is sold in.
    e_gpa : float
        Stiffness in bending.
    stock_mm : tuple of (length, width)
        Sizes it is sold in.
    cutters : tuple of str
        What may cut it.
    no_laser : bool
        It must not go under a laser.
    note : str
    """

    name: str
    thickness_mm: float
    least_mm: float
    most_mm: float
    e_gpa: float
    stock_mm: tuple[tuple[float, float], ...]
    cutters: tuple[str, ...]
    no_laser: bool
    note: str = ""


def refuse_thickness(sheet: Sheet, thickness_mm: float, where: str, units: Units = MILLIMETRES) -> None:
    """Raise for a thickness no such sheet has: a slip of the unit.

    Raises
    ------
    BadValueError
        It is less than a third of the thinnest, or more than three times the thickest, that the sheet is sold in.
    """
    if not sheet.least_mm / 3.0 <= thickness_mm <= sheet.most_mm * 3.0:
        least, most = (length_text(mm, units) for mm in (sheet.least_mm, sheet.most_mm))
        sold = f"{least} to {most}" if least != most else least
        raise BadValueError(
            where,
            f"{length_text(thickness_mm, units)} is no thickness of {sheet.name}, which is sold {sold} thick",
            "check the unit and measure the sheet",
        )


@dataclass(frozen=True, slots=True)
class Catalogue:
    """Everything that may be named: the program's materials, or those and the user's."""

    silicones: tuple[Mix, ...] = ()
    resins: tuple[Mix, ...] = ()
    sheets: tuple[Sheet, ...] = ()

    def sheet(self, name: str) -> Sheet | None:
        """Return the sheet of this name; case, blanks and hyphens do not matter; None if there is none."""
        return next((sheet for sheet in self.sheets if same_name(sheet.name, name)), None)

    def mixes(self, kind: Kind) -> tuple[Mix, ...]:
        """Return the materials of a kind."""
        return self.silicones if kind == "silicone" else self.resins

    def with_mix(self, mix: Mix, kind: Kind) -> "Catalogue":
        """Return the catalogue with a material added, or exchanged if one of its name is there."""
        known = self.mixes(kind)
        if any(same_name(m.name, mix.name) for m in known):
            mixes = tuple(mix if same_name(m.name, mix.name) else m for m in known)
        else:
            mixes = (*known, mix)
        return replace(self, silicones=mixes) if kind == "silicone" else replace(self, resins=mixes)

    def without_mix(self, name: str, kind: Kind) -> "Catalogue":
        """Return the catalogue without a material; the same if none has the name."""
        mixes = tuple(m for m in self.mixes(kind) if not same_name(m.name, name))
        return replace(self, silicones=mixes) if kind == "silicone" else replace(self, resins=mixes)

    def merged(self, other: "Catalogue") -> "Catalogue":
        """Return this catalogue with another one's materials added; the other's go first where names meet."""
        merged = self
        for mix in other.silicones:
            merged = merged.with_mix(mix, "silicone")
        for mix in other.resins:
            merged = merged.with_mix(mix, "resin")
        kept = tuple(s for s in self.sheets if other.sheet(s.name) is None)
        return replace(merged, sheets=(*kept, *other.sheets))


def same_name(a: str, b: str) -> bool:
    """Return whether two names are the same but for case, blanks and hyphens."""
    return _plain(a) == _plain(b)


def _plain(name: str) -> str:
    return " ".join(name.casefold().replace("-", " ").replace("_", " ").split())


@cache
def built_in() -> Catalogue:
    """Return the program's own catalogue."""
    text = files("resources").joinpath("materials.json").read_text(encoding="utf-8")
    return read_catalogue(text, "materials.json")


def read_catalogue(text: str, where: str) -> Catalogue:
    """Return a catalogue from its JSON text.

    Parameters
    ----------
    text : str
        An object with the lists ``silicones``, ``resins`` and ``sheets``, each optional; unknown keys are ignored.
    where : str
        The file, for errors.

    Raises
    ------
    BadFileError
        If it is not such a text; the first field that is wrong is named.
    BadValueError
        If a number makes no sense; the material and what is wrong with it are named.
    """
    # a window that reads no catalogue does without it
    import msgspec

    try:
        found = msgspec.json.decode(text.encode(), type=Catalogue)
    except (msgspec.MsgspecError, UnicodeEncodeError, RecursionError) as error:
        field = str(error).partition("`$.")[2].rstrip("`")
        problem = f"the field {field} is wrong" if field else "it is no catalogue of materials"
        raise BadFileError(where, problem, "mend it, or remove it to start anew") from error
    for mix in (*found.silicones, *found.resins):
        checked(mix, f"{where}: {mix.name}")
    for sheet in found.sheets:
        _check_sheet(sheet, f"{where}: {sheet.name}")
    return found


def write_catalogue(catalogue: Catalogue) -> str:
    """Return a catalogue as JSON text that `read_catalogue` reads back to an equal one."""
    return json.dumps(asdict(catalogue), ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _check_sheet(sheet: Sheet, where: str) -> None:
    sides = [side for size in sheet.stock_mm for side in size]
    for words, value, most, unit in (
        ("thickness", sheet.thickness_mm, 1000.0, "mm"),
        ("least thickness", sheet.least_mm, 1000.0, "mm"),
        ("greatest thickness", sheet.most_mm, 1000.0, "mm"),
        ("stiffness", sheet.e_gpa, 1000.0, "GPa"),
        *(("size", side, LONGEST_LENGTH_MM, "mm") for side in sides),
    ):
        if not 0.0 < value <= most:
            raise BadValueError(
                where, f"the {words} can't be {plain_text(value)}", f"give above 0 to {plain_text(most)} {unit}"
            )


LIMITS: Final[tuple[tuple[str, str, float, float, str], ...]] = (
    ("a_g_per_ml", "the density of A", 0.3, 8.0, "g/mL"),
    ("b_g_per_ml", "the density of B", 0.3, 8.0, "g/mL"),
    ("ratio_a", "the share of A", 1e-3, 1e4, "parts"),
    ("ratio_b", "the share of B", 1e-3, 1e4, "parts"),
    ("pot_life_min", "the pot life", 0.1, 10_000.0, "min"),
    ("pot_life_at_c", "the temperature of the pot life", -20.0, 150.0, "deg C"),
    ("demold_min", "the demold time", 0.1, 100_000.0, "min"),
    ("viscosity_cp", "the viscosity", 0.1, 1e7, "cP"),
    ("shore_a", "the Shore A hardness", 1.0, 100.0, ""),
    ("tear_n_per_mm", "the tear strength", 0.01, 1000.0, "N/mm"),
    ("shrink", "the shrink", 0.0, 0.2, "as a fraction"),
    ("price_per_kg", "the price", 0.0, 1e5, "per kg"),
    ("kit_a_g", "part A of the kit", 0.1, 1e7, "g"),
    ("kit_b_g", "part B of the kit", 0.1, 1e7, "g"),
    ("mix_min", "the time to mix", 0.0, 1000.0, "min"),
    ("mold_life", "the casts of a mold", 1.0, 1e5, ""),
    ("mass_exponent", "the exponent of the mass", 0.0, 1.0, ""),
    ("measured_pot_min", "the measured pot life", 0.1, 10_000.0, "min"),
    ("measured_pot_at_c", "the temperature of the measured pot life", -20.0, 150.0, "deg C"),
    ("keeps_days", "the days it keeps", 1.0, 1e5, "days"),
    ("left_a_g", "what is left of A", 0.0, 1e7, "g"),
    ("left_b_g", "what is left of B", 0.0, 1e7, "g"),
)
"""What a material's numbers may be: field, words, least, most, unit. Beyond is a slip of the pen or of the unit."""


def checked(mix: Mix, where: str) -> Mix:
    """Return the material if all its numbers make sense.

    Raises
    ------
    BadValueError
        With the first field that does not: not a number, zero, negative, absurd.
    """
    for name, words, least, most, unit in LIMITS:
        value = getattr(mix, name)
        if value is not None and not least <= value <= most:
            bounds = f"{plain_text(least)} to {plain_text(most)}"
            raise BadValueError(where, f"{words} can't be {plain_text(value)}", f"give {bounds} {unit}".rstrip())
    if not 0.005 <= mix.ratio_a / mix.ratio_b <= 200.0:
        raise BadValueError(where, "one part is more than 200 times the other", "check the ratio")
    if mix.demold_min < mix.pot_life_min:
        raise BadValueError(where, "the demold time is shorter than the pot life", "check both on the data sheet")
    return mix


def find_mix(name: str, kind: Kind, where: str, catalogue: Catalogue | None = None) -> Mix:
    """Return a material of the catalogue by its name; case, blanks and hyphens do not matter.

    Raises
    ------
    UnknownNameError
        If there is none; the remedy names those there are.
    """
    known = (catalogue or built_in()).mixes(kind)
    for mix in known:
        if same_name(mix.name, name):
            return mix
    names = ", ".join(m.name for m in known)
    raise UnknownNameError(where, f"no {kind} is called {name!r}", f"use one of: {names}; or a=...,b=...,ratio=1:1v")


def find_sheet(name: str, where: str, catalogue: Catalogue | None = None) -> Sheet:
    """Return a sheet of the catalogue by its name; case, blanks and hyphens do not matter.

    Raises
    ------
    UnknownNameError
        If there is none; the remedy names those there are.
    """
    known = catalogue or built_in()
    sheet = known.sheet(name)
    if sheet is None:
        names = ", ".join(s.name for s in known.sheets)
        raise UnknownNameError(where, f"no sheet is called {name!r}", f"use one of: {names}")
    return sheet


def origin_of(mix: Mix, field_name: str) -> str:
    """Return where a value of a material comes from: ``data sheet``, ``measured``, ``default`` or ``assumed``."""
    return dict(mix.origins).get(field_name, "default")
