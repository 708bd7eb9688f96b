"""Typed materials to a Mix: a name of the catalogue, or the numbers of a data sheet in its own units."""

import math
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, Final

from layout.errors import BadValueError
from layout.materials.catalogue import Catalogue, Kind, checked, find_mix
from layout.model import FAST_PLATINUM, FAST_URETHANE, Mix, Ratio
from layout.units import G_PER_LB, ML_PER_IN3, N_PER_MM_PER_PLI, parse_mass_g, parse_minutes, parse_temperature_c

DATA_SHEET: Final = "data sheet"


def parse_mix(text: str, where: str, kind: Kind, catalogue: Catalogue | None = None) -> Mix:
    """Return a material from its name or from the numbers of a data sheet.

    Parameters
    ----------
    text : str
        A name, or ``a=1.10,b=1.18,ratio=1:1v,pot=7@75F,demold=60`` and, where known, ``cp``, ``shore``, ``tear``,
        ``shrink``, ``price``, ``kit``, ``mix``, ``life``, ``cure``, ``name``. Densities in g/mL or ``in3/lb``, tear in
        N/mm or ``pli``, viscosity in cP or ``Pa.s``, shrink as a fraction or ``%``, price per kg or ``/lb``, kits in
        any mass.
    where : str
        The option or field, for the error.
    kind : {"silicone", "resin"}
    catalogue : Catalogue, optional
        Where names are looked up; None: the program's own.

    Raises
    ------
    UnknownNameError
        If it is a name and no material has it.
    BadValueError
        If a number can't be read or makes no sense, or a, b or the ratio is missing.

    Notes
    -----
    A pot life that is not given is that of the kind's fast default (7 min, 2 min for a resin, at 75 F), or half the
    demold time if that is shorter; a demold time that is not given keeps that default's proportion to the pot life
    (60:7, 10:2). Both are marked ``assumed``.

    Examples
    --------
    >>> mix = parse_mix("a=1.10,b=1.18,ratio=1:1v", "--silicone", "silicone")
    >>> mix.b_g_per_ml, mix.ratio_by, mix.pot_life_min, mix.demold_min
    (1.18, 'v', 7.0, 60.0)
    """
    if "=" not in text:
        return find_mix(text, kind, where, catalogue)
    return _from_values(_typed(text, where), where, kind)


def _from_values(typed: dict[str, str], where: str, kind: Kind) -> Mix:
    """Make a material of what was typed for each key, the rest as `parse_mix` says."""
    for key in ("a", "b", "ratio"):
        if key not in typed:
            raise BadValueError(where, f"{key}= is missing", "give at least a=1.10,b=1.18,ratio=1:1v")
    values: dict[str, Any] = {}
    for key, value in typed.items():
        values.update(_READERS[key](value, f"{where} {key}="))
    bare_pot = "pot" in typed and "@" not in typed["pot"]
    unsure = ("name", "cure", *(("pot_life_at_c",) if bare_pot else ()))
    origins = tuple((name, DATA_SHEET) for name in values if name not in unsure)
    base = FAST_PLATINUM if kind == "silicone" else FAST_URETHANE
    values, assumed = _with_times(values, base)
    assumed += ("pot_life_at_c",) if bare_pot else ()
    blank: dict[str, Any] = {"name": kind, "mix_min": base.mix_min, "mass_exponent": base.mass_exponent}
    if kind == "resin":
        blank["mold_life"] = base.mold_life
    mix = Mix(**{**blank, **values}, origins=(*origins, *((name, "assumed") for name in assumed)))
    return checked(mix, where)


def _typed(text: str, where: str) -> dict[str, str]:
    typed: dict[str, str] = {}
    for part in text.split(","):
        key, equals, value = (piece.strip() for piece in part.partition("="))
        key = key.lower()
        if not equals or key not in _READERS:
            known = ", ".join(_READERS)
            raise BadValueError(where, f"{part.strip()!r} is not understood", f"use name=value with one of: {known}")
        if key in typed:
            raise BadValueError(where, f"{key}= is given twice", "give it once")
        typed[key] = value
    return typed


def _with_times(values: dict[str, Any], base: Mix) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Fill in the times that were not typed; see `parse_mix`."""
    assumed: list[str] = []
    values = dict(values)
    if "pot_life_min" not in values:
        pot = min(base.pot_life_min, values.get("demold_min", math.inf) / 2.0)
        values |= {"pot_life_min": pot, "pot_life_at_c": base.pot_life_at_c}
        assumed.append("pot_life_min")
    if "demold_min" not in values:
        values["demold_min"] = values["pot_life_min"] * base.demold_min / base.pot_life_min
        assumed.append("demold_min")
    return values, tuple(assumed)


def _number(text: str, where: str, example: str) -> float:
    try:
        value = float(text.strip())
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise BadValueError(where, f"{text!r} is not a number", f"write it like {example}")
    return value


def _with_unit(text: str, units: Mapping[str, float], where: str, example: str) -> float:
    """Read a number and one of the units; the longest unit that fits is taken."""
    bare = text.strip().lower().replace("³", "3")
    for unit in sorted(units, key=len, reverse=True):
        if unit and bare.endswith(unit):
            return units[unit] * _number(bare[: -len(unit)], where, example)
    return units[""] * _number(bare, where, example)


def _density(text: str, where: str) -> float:
    bare = text.strip().lower().replace("³", "3")
    if bare.endswith("in3/lb"):
        yield_in3 = _number(bare.removesuffix("in3/lb"), where, "25in3/lb")
        return G_PER_LB / ML_PER_IN3 / yield_in3 if yield_in3 > 0 else 0.0
    return _with_unit(text, {"": 1.0, "g/ml": 1.0, "g/cm3": 1.0, "kg/l": 1.0}, where, "1.10 or 25in3/lb")


def _ratio(text: str, where: str) -> dict[str, Any]:
    bare = text.strip().lower()
    by: Ratio
    if bare.endswith("v"):
        by = "v"
    elif bare.endswith("w"):
        by = "w"
    else:
        raise BadValueError(where, f"{text!r} does not say by volume or by weight", "write 1:1v or 100:107w")
    a, colon, b = bare[:-1].partition(":")
    if not colon:
        raise BadValueError(where, f"{text!r} is no ratio", "write it like 1:1v or 100:107w")
    parts = _number(a, where, "1:1v"), _number(b, where, "1:1v")
    if min(parts) <= 0:
        raise BadValueError(where, f"{text!r} leaves one part out", "give two parts above 0")
    return {"ratio_a": parts[0], "ratio_b": parts[1], "ratio_by": by}


def _pot(text: str, where: str) -> dict[str, Any]:
    time, at, temperature = text.partition("@")
    celsius = parse_temperature_c(temperature, where) if at else FAST_PLATINUM.pot_life_at_c
    return {"pot_life_min": parse_minutes(time, where), "pot_life_at_c": celsius}


def _kit(text: str, where: str) -> dict[str, Any]:
    a, plus, b = text.partition("+")
    if not plus:
        raise BadValueError(where, f"{text!r} names one part only", "write it like 450+450g")
    unit = b.strip().lstrip("0123456789. ")
    if a.strip()[-1:].isdigit():
        a += unit
    return {"kit_a_g": parse_mass_g(a, where), "kit_b_g": parse_mass_g(b, where)}


def _plain_number(field_name: str, units: dict[str, float], example: str) -> Callable[[str, str], dict[str, Any]]:
    def read(text: str, where: str) -> dict[str, Any]:
        return {field_name: _with_unit(text, units, where, example)}

    return read


def _word(field_name: str, allowed: tuple[str, ...] = ()) -> Callable[[str, str], dict[str, Any]]:
    def read(text: str, where: str) -> dict[str, Any]:
        if not text or (allowed and text.lower() not in allowed):
            remedy = f"use one of: {', '.join(allowed)}" if allowed else "give a name"
            raise BadValueError(where, f"{text!r} is not understood", remedy)
        return {field_name: text.lower() if allowed else text}

    return read


def _life(text: str, where: str) -> dict[str, Any]:
    value = _number(text, where, "40")
    if value != int(value):
        raise BadValueError(where, f"{text!r} is no whole number", "write it like 40")
    return {"mold_life": int(value)}


_READERS: Final[dict[str, Callable[[str, str], dict[str, Any]]]] = {
    "a": lambda text, where: {"a_g_per_ml": _density(text, where)},
    "b": lambda text, where: {"b_g_per_ml": _density(text, where)},
    "ratio": _ratio,
    "pot": _pot,
    "demold": lambda text, where: {"demold_min": parse_minutes(text, where)},
    "cp": _plain_number("viscosity_cp", {"": 1.0, "cp": 1.0, "cps": 1.0, "mpa.s": 1.0, "pa.s": 1000.0}, "2500"),
    "shore": _plain_number("shore_a", {"": 1.0, "a": 1.0}, "20A"),
    "tear": _plain_number("tear_n_per_mm", {"": 1.0, "n/mm": 1.0, "kn/m": 1.0, "pli": N_PER_MM_PER_PLI}, "13 or 75pli"),
    "shrink": _plain_number("shrink", {"": 1.0, "%": 0.01}, "0.001 or 0.1%"),
    "price": _plain_number("price_per_kg", {"": 1.0, "/kg": 1.0, "/lb": 1000.0 / G_PER_LB}, "36 or 16/lb"),
    "kit": _kit,
    "mix": lambda text, where: {"mix_min": parse_minutes(text, where)},
    "life": _life,
    "cure": _word("cure", ("platinum", "tin", "urethane", "epoxy", "polyester")),
    "name": _word("name"),
}
"""What may stand before ``=``, and how its value is read."""


def read_field(key: str, text: str, where: str) -> dict[str, Any]:
    """Return the fields of a Mix that one typed value sets.

    Parameters
    ----------
    key : str
        As before ``=`` in `parse_mix`; also ``measured`` (a pot life), ``lot``, ``opened``, ``keeps``, ``left``,
        ``exponent``, ``note``.
    text : str
        Empty clears a value that may be unknown.
    where : str
        For the error.

    Raises
    ------
    BadValueError
        If it can't be read, or is empty and must be known.
    """
    if not text.strip():
        if key not in _CLEARED:
            raise BadValueError(where, "it is empty", "give the data sheet's number")
        return dict(_CLEARED[key])
    reader = _READERS.get(key) or _SHELF_READERS[key]
    return reader(text.strip(), where)


def field_texts(mix: Mix) -> dict[str, str]:
    """Return a material as it is typed, key by key; unknown values are empty. `read_field` reads each back."""
    kit = "" if mix.kit_a_g is None or mix.kit_b_g is None else f"{_plain(mix.kit_a_g)}+{_plain(mix.kit_b_g)}g"
    left = f"{_plain(mix.left_a_g)}+{_plain(mix.left_b_g)}g" if mix.left_a_g or mix.left_b_g else ""
    measured = ""
    if mix.measured_pot_min is not None:
        at = mix.pot_life_at_c if mix.measured_pot_at_c is None else mix.measured_pot_at_c
        measured = _pot_text(mix.measured_pot_min, at)
    return {
        "name": mix.name,
        "a": _plain(mix.a_g_per_ml),
        "b": _plain(mix.b_g_per_ml),
        "ratio": f"{_plain(mix.ratio_a)}:{_plain(mix.ratio_b)}{mix.ratio_by}",
        "pot": _pot_text(mix.pot_life_min, mix.pot_life_at_c),
        "measured": measured,
        "demold": f"{_plain(mix.demold_min)}min",
        "mix": f"{_plain(mix.mix_min)}min",
        "cp": _plain(mix.viscosity_cp),
        "shore": _plain(mix.shore_a),
        "tear": _plain(mix.tear_n_per_mm),
        "shrink": _plain(mix.shrink),
        "life": _plain(mix.mold_life),
        "exponent": _plain(mix.mass_exponent),
        "price": _plain(mix.price_per_kg),
        "kit": kit,
        "left": left,
        "lot": mix.lot,
        "opened": mix.opened,
        "keeps": _plain(mix.keeps_days),
        "note": mix.note,
    }


def _plain(value: float | None) -> str:
    """The shortest text that reads back to the same number."""
    if value is None:
        return ""
    return str(int(value)) if value == int(value) and abs(value) < 1e15 else repr(float(value))


def _pot_text(minutes: float, at_c: float) -> str:
    fahrenheit = at_c * 9.0 / 5.0 + 32.0
    if at_c != int(at_c) and abs(fahrenheit - round(fahrenheit)) < 1e-9:
        return f"{_plain(minutes)}@{round(fahrenheit)}F"
    return f"{_plain(minutes)}@{_plain(at_c)}C"


def _measured(text: str, where: str) -> dict[str, Any]:
    found = _pot(text, where)
    return {"measured_pot_min": found["pot_life_min"], "measured_pot_at_c": found["pot_life_at_c"]}


def _left(text: str, where: str) -> dict[str, Any]:
    found = _kit(text, where)
    return {"left_a_g": found["kit_a_g"], "left_b_g": found["kit_b_g"]}


def _opened(text: str, where: str) -> dict[str, Any]:
    try:
        return {"opened": date.fromisoformat(text).isoformat()}
    except ValueError as error:
        raise BadValueError(where, f"{text!r} is no date", "write it like 2026-03-31") from error


_SHELF_READERS: Final[dict[str, Callable[[str, str], dict[str, Any]]]] = {
    "measured": _measured,
    "left": _left,
    "opened": _opened,
    "lot": _word("lot"),
    "note": _word("note"),
    "keeps": lambda text, where: {"keeps_days": _life(text, where)["mold_life"]},
    "exponent": _plain_number("mass_exponent", {"": 1.0}, "0.2"),
}
"""What is known of the lot in hand, read the same way."""

_CLEARED: Final[dict[str, dict[str, Any]]] = {
    "measured": {"measured_pot_min": None, "measured_pot_at_c": None},
    "cp": {"viscosity_cp": None},
    "shore": {"shore_a": None},
    "tear": {"tear_n_per_mm": None},
    "shrink": {"shrink": None},
    "life": {"mold_life": None},
    "price": {"price_per_kg": None},
    "kit": {"kit_a_g": None, "kit_b_g": None},
    "left": {"left_a_g": 0.0, "left_b_g": 0.0},
    "lot": {"lot": ""},
    "opened": {"opened": ""},
    "keeps": {"keeps_days": None},
    "note": {"note": ""},
}
"""What an empty field means, where it may be empty."""
