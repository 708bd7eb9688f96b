"""One more disc than the best, again and again: descents of the overlap energy, moves between them, an exact finish."""

from collections.abc import Callable, Generator, Iterator
from typing import Final

import numpy as np

from layout.fill.compiled import made_ready
from layout.fill.disc_domain import Domain, lattice, rows_across
from layout.fill.search import Search
from layout.geometry import FloatArray

_NEARLY: Final = 0.004
"""A layout whose worst shortfall is this share of the least distance may become legal by linear programs."""

_MOVES_BEFORE_NEW_START: Final = 40

_MOST_FOR_PROGRAMS: Final = 400
"""A linear program of 300 discs takes about 45 ms, of 1,000 half a second."""


def hunt(domain: Domain, search: Search, offer: Callable[[Search, FloatArray], bool], most: int) -> Iterator[None]:
    """Offer layouts of ever more discs until ``most`` is reached; yield after each descent."""
    if not made_ready(compile_discs, search.should_stop):
        return
    best = np.zeros((0, 2))
    while search.count < most:
        n = search.count + 1
        found = yield from _place(domain, search, n, best)
        if not offer(search, found):
            return
        best = found
        yield


def compile_discs() -> None:
    """Compile or load the descents of discs."""
    from layout.fill.disc_descent import descend, local_energies, roomiest

    z, none = np.array([0.1, 0.1, 0.2, 0.2]), np.zeros((0, 4))
    descend(z, 0.3, np.array([0.0, 0.0, 1.0, 1.0]), none, none, none, 1e-9, 2, 60, 0.03)
    local_energies(z, 0.3)
    roomiest(z, np.zeros((1, 2)))


def _place(domain: Domain, search: Search, n: int, fewer: FloatArray) -> Generator[None, None, FloatArray]:
    """Return a legal layout of n discs."""
    from layout.fill.disc_descent import descend, local_energies, roomiest

    arrays = (domain.bounds, domain.circles, domain.sides, domain.polygons)
    # so many discs that linear programs would take too long are spread a hair wider than they need
    many = n > _MOST_FOR_PROGRAMS
    apart = domain.apart_mm * (1.0 + 1e-5) if many else domain.apart_mm
    # under 50 ms between two questions whether to stop
    steps = max(60, min(2000, 150_000 // n))
    enough = (1e-10 * apart) ** 2
    rng = search.rng
    starts = 0
    z, e = np.zeros(0), np.inf
    fails = _MOVES_BEFORE_NEW_START
    while True:
        if fails >= _MOVES_BEFORE_NEW_START:
            trial = _start(domain, n, fewer, rng, starts).ravel()
            starts, fails, e = starts + 1, 0, np.inf
        else:
            trial = z.copy()
            _move(domain, trial, local_energies, roomiest, rng)
        before, trial_e = np.inf, descend(trial, apart, *arrays, enough, steps, 60, 0.03)
        while steps < 2000 and enough < trial_e < 0.9 * before and not search.should_stop():
            before, trial_e = trial_e, descend(trial, apart, *arrays, enough, steps, 60, 0.03)
        if trial_e <= (_NEARLY * apart) ** 2:
            finished = _finished(domain, trial.reshape(n, 2), 0 if many else 12)
            if finished is not None:
                return finished
        if trial_e < e * (1.0 - 1e-6):
            z, e, fails = trial, trial_e, fails if trial_e > 0.99 * e else 0
        else:
            fails += 1
        yield


def _finished(domain: Domain, points: FloatArray, programs: int) -> FloatArray | None:
    from layout.fill.disc_finish import widened

    done, slack = widened(domain, points, 0.0, programs)
    return done if slack >= -1e-9 else None


def _move(
    domain: Domain,
    z: FloatArray,
    local_energies: Callable[[FloatArray, float], FloatArray],
    roomiest: Callable[[FloatArray, FloatArray], FloatArray],
    rng: np.random.Generator,
) -> None:
    """Put one or two discs, mostly the worst ones, into the widest holes, or shake everything a little."""
    n = len(z) // 2
    kind = rng.random()
    if kind < 0.15:
        z += rng.normal(0.0, 0.12 * domain.apart_mm, 2 * n)
        return
    own = local_energies(z, domain.apart_mm)
    for _ in range(1 if kind < 0.8 else 2):
        order = np.argsort(-own)
        who = int(order[min(int(rng.exponential(1.5)), n - 1)]) if rng.random() < 0.75 else int(rng.integers(n))
        x0, y0, x1, y1 = domain.extent
        points = np.column_stack((rng.uniform(x0, x1, 150), rng.uniform(y0, y1, 150)))
        points = points[domain.clearance_mm(points) >= 0.0] if len(domain.circles) + len(domain.polygons) else points
        if not len(points):
            return
        others = np.delete(z.reshape(n, 2), who, axis=0).ravel()
        room = roomiest(others, points)
        pick = np.argsort(-room)[min(int(rng.exponential(1.0)), len(points) - 1)]
        z[2 * who : 2 * who + 2] = points[pick]
        own[who] = 0.0


def _start(domain: Domain, n: int, fewer: FloatArray, rng: np.random.Generator, number: int) -> FloatArray:
    """Return n centres to begin with: the best of one fewer with one put in, a cropped lattice, rows, or at random."""
    kind = rng.random()
    if len(fewer) == n - 1 and n > 1 and (number == 0 or kind < 0.15):
        extra = _inside(domain, 1, rng)
        return np.vstack((fewer, extra))
    if kind < 0.45:
        return _inside(domain, n, rng)
    if kind < 0.75:
        return _cropped(domain, n, rng)
    return _rows(domain, n, rng)


def _inside(domain: Domain, n: int, rng: np.random.Generator) -> FloatArray:
    x0, y0, x1, y1 = domain.extent
    points = np.zeros((0, 2))
    for _ in range(50):
        more = np.column_stack((rng.uniform(x0, x1, 2 * n + 8), rng.uniform(y0, y1, 2 * n + 8)))
        points = np.vstack((points, more[domain.clearance_mm(more) >= 0.0]))
        if len(points) >= n:
            return points[:n]
    spare = np.column_stack((rng.uniform(x0, x1, n), rng.uniform(y0, y1, n)))
    return np.vstack((points, spare))[:n]


def _cropped(domain: Domain, n: int, rng: np.random.Generator) -> FloatArray:
    """Return a hexagonal lattice at some turn and stretch, as dense as n discs ask for, the outermost left out."""
    angle = float(rng.choice([0.0, 90.0])) if rng.random() < 0.5 else float(rng.uniform(0.0, 180.0))
    stretch = float(np.exp(rng.normal(0.0, 0.06)))
    shift = (float(rng.random()), float(rng.random()))
    pitch = domain.apart_mm * 1.05
    for _ in range(40):
        points = lattice(domain, pitch, angle, shift, stretch)
        clear = domain.clearance_mm(points)
        if int((clear >= -0.25 * pitch).sum()) >= n:
            chosen = points[np.argsort(-clear, kind="stable")[:n]]
            return np.asarray(chosen + rng.normal(0.0, 0.02 * pitch, chosen.shape))
        pitch *= 0.98
    return _inside(domain, n, rng)


def _rows(domain: Domain, n: int, rng: np.random.Generator) -> FloatArray:
    """Return n centres in rows of about equal counts, as many rows as the proportion asks for, give or take one."""
    x0, y0, x1, y1 = domain.extent
    upright = bool(rng.random() < 0.5)
    w, h = (x1 - x0, y1 - y0) if not upright else (y1 - y0, x1 - x0)
    ideal = np.sqrt(n * max(h, 1e-9) / max(w, 1e-9) / np.sqrt(0.75))
    rows = min(n, max(1, round(float(ideal + rng.normal(0.0, 0.8)))))
    counts = [n // rows] * rows
    for k in rng.permutation(rows)[: n % rows]:
        counts[k] += 1
    if rng.random() < 0.5:
        # alternate long and short rows as far as the number allows
        counts = sorted(counts, reverse=True)
        half = (rows + 1) // 2
        mixed = [0] * rows
        mixed[0::2], mixed[1::2] = counts[:half], counts[half:]
        counts = mixed
    points = rows_across(domain, [c for c in counts if c], int(rng.integers(2)), upright=upright)
    return np.asarray(points + rng.normal(0.0, 0.03 * domain.apart_mm, points.shape))
