"""Cavities through the clipboard, as JSON text: between two windows too, masters and all."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, Final

from layout import edits
from layout.errors import BadFileError, LayoutError
from layout.geometry import Disc, Footprint, Outline, centred_outline, clean_ring
from layout.model import CavityId, Master, MasterId, Project

if TYPE_CHECKING:
    from collections.abc import Collection

_MOST_BYTES: Final = 20_000_000
_WHERE: Final = "clipboard"


def to_text(project: Project, ids: Collection[CavityId]) -> str:
    """Return cavities and their masters as text."""
    chosen = [c for c in project.cavities if c.id in set(ids)]
    used = {c.master for c in chosen}
    import json

    return json.dumps(
        {
            "manymold": "cavities",
            "masters": [_master_to_plain(m) for m in project.masters if m.id in used],
            "cavities": [[c.master, c.x_mm, c.y_mm, c.angle_deg] for c in chosen],
        }
    )


def is_cavities(text: str) -> bool:
    """Return whether text looks like copied cavities, without reading it."""
    return text.startswith('{"manymold": "cavities"')


def from_text(project: Project, text: str) -> tuple[Project, tuple[CavityId, ...]]:
    """Return the project with the copied cavities in it, at their own places, and their ids.

    Raises
    ------
    BadFileError
        If the text is not what `to_text` writes.
    """
    if len(text) > _MOST_BYTES or not is_cavities(text):
        raise BadFileError(_WHERE, "it holds no cavities", "copy cavities first")
    try:
        import json

        document = json.loads(text)
        masters = [_master_from_plain(m) for m in document["masters"]]
        places = [(MasterId(str(m)), float(x), float(y), float(a)) for m, x, y, a in document["cavities"]]
    except LayoutError:
        raise
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise BadFileError(_WHERE, "the cavities in it are damaged", "copy them again") from error
    new_ids: dict[MasterId, MasterId] = {}
    for master in masters:
        project, new_ids[master.id] = _with_master(project, master)
    if any(master not in new_ids for master, *_ in places):
        raise BadFileError(_WHERE, "a master is missing in it", "copy the cavities again")
    return edits.add_cavities(project, [(new_ids[m], x, y, a) for m, x, y, a in places])


def _with_master(project: Project, master: Master) -> tuple[Project, MasterId]:
    for own in project.masters:
        if (own.footprint, own.height_mm, own.volume_ml) == (master.footprint, master.height_mm, master.volume_ml):
            return project, own.id
    after = edits.add_master(project, master)
    return after, after.masters[-1].id


def _master_to_plain(master: Master) -> dict[str, Any]:
    plain = asdict(master)
    footprint = master.footprint
    plain["footprint"] = footprint.radius_mm if isinstance(footprint, Disc) else [list(p) for p in footprint.points]
    return plain


def _footprint(plain: Any) -> Footprint:
    if isinstance(plain, (int, float)):
        return Disc(_above_0(plain))
    outline: Outline = centred_outline(plain, _WHERE)
    return outline


def _above_0(value: Any) -> float:
    number = float(value)
    if not (math.isfinite(number) and number > 0.0):
        raise ValueError(value)
    return number


def _master_from_plain(plain: dict[str, Any]) -> Master:
    turn = plain["turn"]
    if turn not in (None, "free", "90", "180", "0"):
        raise ValueError(turn)
    return Master(
        MasterId(str(plain["id"])),
        str(plain["name"]),
        str(plain["source"]),
        _footprint(plain["footprint"]),
        _above_0(plain["height_mm"]),
        _above_0(plain["volume_ml"]),
        _above_0(plain["glued_area_mm2"]),
        None if plain["surface_mm2"] is None else _above_0(plain["surface_mm2"]),
        None if plain["undercut"] is None else float(plain["undercut"]),
        turn,
        None if plain["wanted"] is None else int(plain["wanted"]),
        # text that an older version copied has none
        holes=tuple(clean_ring(hole, _WHERE) for hole in plain.get("holes", ())),
    )
