"""Every tolerance of the program, by name: what is compared, why this value, which side is safe."""

from typing import Final

CLEARANCE_TOL_MM: Final = 1e-6
"""A wall passes if it measures at least the required wall minus this. Shapely's distances of parts placed exactly at
the wall come out up to 4e-15 mm short; 1e-6 mm is far above that and far below anything a knife can cut. The one
tolerance of checks, fill, window, report and tests."""

ARC_CHORD_TOL_MM: Final = 0.01
"""The most by which a flattened curve may stand outside the true outline. Flattened footprints contain the part, so
the true wall is never thinner than the measured one, and thicker by at most twice this."""

OUTLINE_JOIN_TOL_MM: Final = 0.05
"""Ends of drawn lines no farther apart than this are one point: hand-drawn outlines rarely close exactly."""

POINT_MERGE_TOL_MM: Final = 1e-6
"""Neighbouring outline points closer than this are one point. Far below a cut, far above rounding."""

LONGEST_LENGTH_MM: Final = 10_000.0
"""No mold on a bench is longer than ten metres: a larger number is a slip of unit and is refused."""

SHORTEST_PART_MM: Final = 0.01
"""A part thinner or smaller than this is a slip of unit and is refused."""
