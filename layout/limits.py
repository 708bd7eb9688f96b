"""The limits advice is given by, in one table: what is compared, and from where on it warns or refuses.

All are defaults that the user may change (`Project.limits`). They are engineering judgement, common practice without a
published source, chosen around figures that suppliers print.
"""

from dataclasses import dataclass, replace
from typing import Final, Literal

from layout.errors import BadValueError, UnknownNameError
from layout.model import LimitChange, Project, Severity

Side = Literal["most", "least"]


@dataclass(frozen=True, slots=True)
class Limit:
    """One row of the table.

    Parameters
    ----------
    kind : str
        The kind of finding it leads to.
    words : str
        What is measured.
    side : {"most", "least"}
        Whether too much or too little is bad.
    warn, refuse : float or None
        From where on it warns and refuses; None: never.
    unit : str
    """

    kind: str
    words: str
    side: Side
    warn: float | None
    refuse: float | None
    unit: str

    def severity(self, measured: float) -> Severity:
        """Return how much a measured value matters; a value at the limit still passes."""
        if self._beyond(measured, self.refuse):
            return Severity.REFUSE
        return Severity.WARN if self._beyond(measured, self.warn) else Severity.INFO

    def _beyond(self, measured: float, limit: float | None) -> bool:
        if limit is None:
            return False
        slack = 1e-9 * max(1.0, abs(limit))
        return measured > limit + slack if self.side == "most" else measured < limit - slack


TABLE: Final[tuple[Limit, ...]] = (
    Limit("narrow_web", "wall between cavities", "least", 6.35, 3.2, "mm"),
    Limit("tall_web", "wall, over the wall that stands with one side full", "least", 1.0, 0.8, ""),
    Limit("thin_floor", "floor", "least", 6.35, 3.2, "mm"),
    Limit("thick_floor", "floor", "most", 12.7, None, "mm"),
    Limit("undercut_firm", "undercut at 30A and harder", "most", 0.10, 0.30, ""),
    Limit("undercut_soft", "undercut at 15A and softer", "most", 0.10, 0.60, ""),
    Limit("silicone_time", "share of the pot life that mixing, degassing and pouring take", "most", 0.60, 0.75, ""),
    Limit("resin_time", "share of the pot life that mixing and filling take", "most", 0.60, 0.75, ""),
    Limit("layers", "share of the demold time from the first cup to the last", "most", 0.50, 1.00, ""),
    Limit("cup_loss", "what stays in the cups, over what the mold takes", "most", 0.25, 1.00, ""),
    Limit("headroom_degas", "container over batch, if you degas", "least", 4.0, 3.0, ""),
    Limit("headroom", "container over batch, if you do not degas", "least", 4.0, 1.5, ""),
    Limit("vacuum", "absolute pressure", "most", 35.0, 60.0, "mbar"),
    Limit("cold_parts", "temperature of A and B", "least", 20.0, 15.0, "deg C"),
    Limit("warm_parts", "temperature of A and B", "most", 26.0, 35.0, "deg C"),
    Limit("humidity", "relative humidity", "most", 50.0, 65.0, "%"),
    Limit("cavities_per_batch", "cavities, over those that one batch of resin fills", "most", 1.0, 2.0, ""),
    Limit("bulge", "bulge of the side", "most", 0.25, 0.50, "mm"),
    Limit("mold_life", "casts of the oldest mold, over its life", "most", 0.80, 1.00, ""),
    Limit("two_volumes", "difference of two ways to measure a volume", "most", 2.0, 5.0, "%"),
    Limit("deadline", "days to spare, over the days one more mold takes", "least", 1.0, 0.0, ""),
    Limit("glued_face", "glued back, over the largest section of the part", "least", 0.90, None, ""),
    Limit("block_size", "longest side of the block", "most", 300.0, None, "mm"),
    Limit("block_mass", "mass of the block", "most", 3000.0, None, "g"),
    Limit("deep_cavity", "depth of a cavity, over its width", "most", 3.0, None, ""),
    Limit("scale_step", "scale's step, of the smallest part weighed", "most", 1.0, None, "%"),
    Limit("small_batch", "mass of a batch of resin", "least", 85.0, None, "g"),
    Limit("pigment", "pigment in the resin", "most", 3.0, None, "%"),
)
"""Sections: geometry, time, vacuum, air, resin, box, order. Temperature and humidity: typical of published sheets."""

_SHARES_OF_TIME: Final = ("silicone_time", "resin_time")

_BY_KIND: Final = {limit.kind: limit for limit in TABLE}


def limit(project: Project, kind: str) -> Limit:
    """Return a limit as this project has it: the table's, or the user's own.

    Raises
    ------
    UnknownNameError
        If there is no limit of this kind.
    """
    row = _row(kind)
    for change in project.limits:
        if change.kind == kind:
            return replace(row, warn=change.warn, refuse=change.refuse)
    return row


def _row(kind: str) -> Limit:
    if kind not in _BY_KIND:
        raise UnknownNameError(kind, "there is no limit of this kind", f"use one of: {', '.join(_BY_KIND)}")
    return _BY_KIND[kind]


def changed_limit(kind: str, warn: float | None, refuse: float | None) -> LimitChange:
    """Return a user's own limit, to be kept in the project.

    Raises
    ------
    UnknownNameError
        If there is no limit of this kind.
    BadValueError
        If a number is not finite or negative, leaves no time at all, or it would refuse before it warns.
    """
    row = _row(kind)
    for value in (warn, refuse):
        if value is not None and not 0.0 <= value < 1e6:
            raise BadValueError(kind, f"{value} is no limit", "give a plain number, 0 or more")
        if value == 0.0 and kind in _SHARES_OF_TIME:
            raise BadValueError(kind, "nothing is done in no time at all", "give a share above 0, like 0.75")
    if warn is not None and refuse is not None:
        wrong = refuse < warn if row.side == "most" else refuse > warn
        if wrong:
            raise BadValueError(kind, "it would refuse before it warns", "give the warning first")
    return LimitChange(kind, warn, refuse)
