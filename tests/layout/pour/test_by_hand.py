"""Thirty invented benches reckoned a second time, by arithmetic written down here anew and by trying batch after batch.

Nothing of `layout.pour` is used for the expected numbers: volumes by closed forms, masses by shares of weight, pot life
by halving in steps of 10 deg C, batches by raising their number until every limit stands, cavities one by one.
"""

import math
import random
from dataclasses import replace

import pytest

from layout.geometry import Disc
from layout.materials import parse_mix
from layout.model import Box, Cavity, Master, PourSettings, Project, RectBox
from layout.pour.resin import resin_pour
from layout.pour.silicone import silicone_pour
from layout.pour.timeline import silicone_timeline

SILICONES = (
    # a, b (g/mL), ratio, by weight?, pot (min), at deg C, demold (min), mixing (min)
    (1.10, 1.10, (1.0, 1.0), False, 7.0, 24.0, 60.0, 2.0),
    (1.12, 1.14, (1.0, 1.0), False, 40.0, 23.0, 600.0, 3.0),
    (1.25, 0.98, (10.0, 1.0), True, 50.0, 23.0, 1200.0, 4.0),
    (27.68 / 25.0, 27.68 / 23.5, (1.0, 1.0), False, 12.0, 25.0, 120.0, 2.0),
    (1.08, 1.10, (100.0, 107.0), True, 20.0, 22.8, 240.0, 3.0),
)
RESINS = (
    (1.12, 1.02, (100.0, 107.0), True, 3.0, 24.0, 15.0, 0.5),
    (1.10, 0.99, (100.0, 90.0), True, 2.0, 24.0, 10.0, 0.5),
    (1.10, 1.00, (1.0, 1.0), False, 6.0, 24.0, 30.0, 0.75),
)


def _typed(numbers, kind):
    a, b, (ra, rb), by_weight, pot, at, demold, mix = numbers
    ratio = f"{ra:g}:{rb:g}{'w' if by_weight else 'v'}"
    text = f"name=x,a={a!r},b={b!r},ratio={ratio},pot={pot}@{at}C,demold={demold},mix={mix}"
    return parse_mix(text, "", kind)


def _grams(numbers, volume_ml):
    """A and B, g, of a volume: parts by volume are turned to weight, and one gram of each pair fills its volumes."""
    a, b, (ra, rb), by_weight, *_ = numbers
    wa, wb = (ra, rb) if by_weight else (ra * a, rb * b)
    pairs = volume_ml / (wa / a + wb / b)
    return wa * pairs, wb * pairs


def _pot(numbers, celsius):
    return numbers[4] * 0.5 ** ((celsius - numbers[5]) / 10.0)


def _bench(seed):
    r = random.Random(seed)
    across, deep = r.choice(((3, 2), (6, 4), (9, 7))), r.choice((5.0, 12.0, 25.0))
    d = r.choice((8.0, 18.0, 30.0))
    volume = math.pi * (d / 2.0) ** 2 * deep / 1000.0
    pitch = d + 6.35
    length, width = across[0] * pitch + 12.7, across[1] * pitch + 12.7
    master = Master("m", "peg", "disc", Disc(d / 2.0), deep, volume, math.pi * d * d / 4.0)
    cavities = tuple(
        Cavity(f"c{j}-{i}", "m", 9.525 + d / 2 + pitch * i, 9.525 + d / 2 + pitch * j)
        for j in range(across[1])
        for i in range(across[0])
    )
    settings = PourSettings(
        temperature_c=r.choice((18.0, 24.0, 31.0, 35.0)), waste_pct=r.choice((0.0, 5.0, 12.0)),
        cup_film_ml=r.choice((5.0, 20.0, 40.0)), degas=r.random() < 0.4,
        container_ml=r.choice((None, 500.0, 950.0, 2500.0)), scale_limit_g=r.choice((None, 500.0, 2000.0)),
        container_tare_g=r.choice((0.0, 60.0)), pour_ml_per_s=r.choice((2.0, 4.0, 8.0)),
        level_deg=r.choice((0.0, 0.0, 0.5)), correction=r.choice((1.0, 1.0, 1.04)),
        headroom=r.choice((1.5, 3.0, 4.0)), overfill_ml=r.choice((0.0, 0.1)),
    )  # fmt: skip
    silicone, resin = r.choice(SILICONES), r.choice(RESINS)
    project = Project(
        "hand", Box(RectBox(length, width)), (master,), cavities=cavities, silicone=_typed(silicone, "silicone"),
        resin=replace(_typed(resin, "resin"), mass_exponent=0.0), pour=settings,
    )  # fmt: skip
    return project, silicone, resin, (length, width, deep, volume)


@pytest.mark.parametrize("seed", range(30))
def test_that_a_bench_reckoned_by_hand_gives_the_same_silicone(seed):
    project, silicone, _, (length, width, deep, volume) = _bench(seed)
    s, pour = project.pour, silicone_pour(project)
    slope = (
        length * math.tan(math.radians(s.level_deg)) if length >= width else width * math.tan(math.radians(s.level_deg))
    )
    net = length * width * (deep + 9.525 + slope / 2.0) / 1000.0 - len(project.cavities) * volume
    assert pour.volumes.net_ml == pytest.approx(net, rel=1e-12)
    pot = _pot(silicone, s.temperature_c)
    degas = 2.5 if s.degas else 0.0
    film = s.cup_film_ml * s.correction
    poured = net * (1.0 + s.waste_pct / 100.0) * s.correction
    count = None
    for n in range(1, 501):
        cup = poured / n + film
        a, b = _grams(silicone, cup)
        minutes = silicone[7] + degas + poured / n / s.pour_ml_per_s / 60.0
        if (
            minutes <= 0.75 * pot * (1 + 1e-12)
            and (s.container_ml is None or s.headroom * cup <= s.container_ml * (1 + 1e-12))
            and (s.scale_limit_g is None or a + b + s.container_tare_g <= s.scale_limit_g * (1 + 1e-12))
        ):
            count = n
            break
    assert pour.batching.count == count
    if count is None:
        return
    a, b = _grams(silicone, poured + count * film)
    assert (pour.dose.a_g, pour.dose.b_g) == (pytest.approx(a, rel=1e-9), pytest.approx(b, rel=1e-9))
    assert pour.batch_dose.mass_g * count == pytest.approx(a + b, rel=1e-9)
    # on the clock every cup is empty before three quarters of its pot life have gone
    times = silicone_timeline(project)
    ends = [step.end_min for step in times.steps if step.what == "pour"]
    assert all(end <= clock.contact_min + 0.75 * pot + 1e-6 for end, clock in zip(ends, times.clocks, strict=True))


@pytest.mark.parametrize("seed", range(30))
def test_that_a_bench_reckoned_by_hand_gives_the_same_resin(seed):
    project, _, resin, (_, _, _, volume) = _bench(seed)
    s, pour = project.pour, resin_pour(project)
    each = volume + s.overfill_ml
    a, b = _grams(resin, each * len(project.cavities) * 1.12)
    assert (pour.dose.a_g, pour.dose.b_g) == (pytest.approx(a, rel=1e-9), pytest.approx(b, rel=1e-9))
    left, filled = 0.75 * _pot(resin, s.temperature_c) - resin[7], 0
    while left >= (1.2 + each / 5.0) / 60.0 - 1e-12:
        left -= (1.2 + each / 5.0) / 60.0
        filled += 1
    assert pour.cavities_per_batch == filled
    one_g = sum(_grams(resin, each * 1.12))
    most = filled
    if s.container_ml is not None:
        most = min(most, math.floor(s.container_ml / 1.5 / (each * 1.12) + 1e-9))
    if s.scale_limit_g is not None:
        most = min(most, math.floor((s.scale_limit_g - s.container_tare_g) / one_g + 1e-9))
    assert len(pour.batches) == (math.ceil(len(project.cavities) / most) if most else 0)
