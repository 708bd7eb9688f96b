"""What the batch log teaches about pot life, and the project with it in place of the data sheets' values."""

from dataclasses import replace

from layout.batch_log import Learned
from layout.model import Project
from layout.pour.time import pot_life_min, temperature_factor
from layout.units import counted, temperature_text


def pot_life_of(project: Project, what: str = "cast") -> Learned:
    """Return the pot life of the resin (``cast``) or the silicone (``pour``) at its reference temperature, minutes.

    Notes
    -----
    Each pot life in the log is brought to the reference temperature by the same rule as the pour sheet's, and the
    median is taken.
    """
    mix = project.resin if what == "cast" else project.silicone
    at = temperature_text(mix.pot_life_at_c, project.units)
    seen = sorted(
        e.pot_life_min / temperature_factor(e.temperature_c, mix.pot_life_at_c)
        for e in project.log
        if e.what == what and e.pot_life_min is not None and e.temperature_c is not None and e.pot_life_min > 0
    )
    if not seen:
        own = pot_life_min(mix, mix.pot_life_at_c)
        return Learned(own, 0, f"{own:.1f} min at {at}, from the material's entry")
    middle = len(seen) // 2
    value = seen[middle] if len(seen) % 2 else (seen[middle - 1] + seen[middle]) / 2.0
    return Learned(value, len(seen), f"{value:.1f} min at {at}, learned from {counted(len(seen), 'batch')}")


def with_learned(project: Project) -> Project:
    """Return the project with the pot lives of its log in place of the data sheets', for planning."""
    changed = project
    for what, name in (("cast", "resin"), ("pour", "silicone")):
        known = pot_life_of(project, what)
        if known.observations:
            mix = project.resin if name == "resin" else project.silicone
            better = replace(mix, measured_pot_min=known.value, measured_pot_at_c=mix.pot_life_at_c)
            changed = replace(changed, resin=better) if name == "resin" else replace(changed, silicone=better)
    return changed
