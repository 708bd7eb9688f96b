"""Cautions for these materials and this gear; the products' safety data go first, nothing is ever called safe."""

from typing import Final

from layout.model import Project

DEFER: Final = "The products' safety data sheets, the labels, local codes and licensed practice decide, not this sheet."
PLATINUM: Final = (
    "Platinum silicone stays sticky where it meets sulfur (clay, latex gloves), amines (fresh epoxy, paint, glue"
    " accelerator), tin silicone or half-cured prints: cure a test patch on the sealed master, its glue and the box for"
    " one demold time. Sticky: stop. Nitrile or vinyl gloves, tools of their own."
)
TIN: Final = (
    "Tin-cure silicone gives off alcohol as it cures: air the room. Keep its cups and sticks away from platinum"
    " silicone, which they keep from curing."
)
URETHANE: Final = (
    "Urethane part A holds isocyanates: they harm lungs and skin, can sensitize for life after short contact, and smell"
    " gives no warning. Exhaust first, gloves, goggles, long sleeves; a respirator only within a fitted, scheduled"
    " program. Whoever reacts to it stops. In the EU professional users need training. Lids closed: damp makes it foam."
    " What is left heats up: spread it in a metal tray."
)
EPOXY: Final = (
    "Epoxy can sensitize the skin for life: gloves, no solvent to clean hands. A full cup may heat to 200 °C and smoke:"
    " spread what is left in a metal tray, never in the bin."
)
POLYESTER: Final = (
    "Polyester resin gives off styrene, and its peroxide burns eyes: exhaust, goggles, no sparks, never mix peroxide"
    " and accelerator."
)
VACUUM: Final = (
    "Vacuum: only a chamber rated for it, free of cracks and crazing, lid shielded; face shield, pump guard, no"
    " solvents near acrylic. A 300 mm lid carries 700 kg."
)
PRESSURE: Final = "Pressure pot: rated, with a relief valve that works; no home-made ones."
KNIFE: Final = "New blade, light passes, steel edge, holding hand out of the way. Hot glue burns. Sanding dust: mask."
RIGHTS: Final = "Make sure that you have the right to copy the original."

_SILICONES: Final = {"platinum": PLATINUM, "tin": TIN}
_RESINS: Final = {"urethane": URETHANE, "epoxy": EPOXY, "polyester": POLYESTER}


def cautions(project: Project) -> tuple[str, ...]:
    """Return the cautions for a project's silicone, resin and gear, a few sentences each.

    Notes
    -----
    A silicone of unknown cure is taken for platinum, a resin of unknown cure for urethane: those ask for most care.
    """
    cast = _RESINS.get(project.resin.cure, URETHANE)
    # what is poured in the box is a resin where it makes a tray
    poured = (
        _RESINS[project.silicone.cure] if project.silicone.is_resin else _SILICONES.get(project.silicone.cure, PLATINUM)
    )
    found = list(dict.fromkeys((cast, poured)))
    if project.pour.degas:
        found.append(VACUUM)
    if project.pour.pressure_pot_diameter_mm is not None:
        found.append(PRESSURE)
    return (*found, KNIFE, RIGHTS, DEFER)
