"""The general nesting library as a user could use it: strips for more and more parts, in a process of its own."""

import math
import multiprocessing
import os
import time
from collections.abc import Callable
from typing import Any

Place = tuple[int, float, float, float]
"""Which of the case's footprints, x_mm, y_mm, angle_deg."""

LONGEST_RUN_S = 90
"""A run on a busy machine takes no longer than this."""


def most_by_nester(
    case: dict[str, Any], seconds: float, legal: Callable[[list[Place]], bool], a_run: int = 10, processor: bool = False
) -> tuple[list[Place], int]:
    """Return the fullest legal layout it finds and how many others it handed over, that break a rule.

    Places are about the footprints' own origins.

    Parameters
    ----------
    case : dict
        With ``footprint_mm``, or ``footprints_mm`` that are taken in turn.
    legal : callable
        Judges a layout.
    seconds, a_run : float
        In all, and for a run.
    processor : bool
        Seconds are those in which two cores do nothing else: two of processor time each.

    Notes
    -----
    Its separation also holds to the strip's edges, so the strip is made ``H - 2 edge + 2 wall`` high. It can't be
    told to stop: the process is ended when the time is up and the best so far is what it had handed over.
    """
    context = multiprocessing.get_context("spawn")
    theirs, ours = context.Pipe()
    child = context.Process(target=_search, args=(case, a_run, processor, theirs), daemon=True)
    child.start()
    best: list[Place] = []
    broken = 0
    used = 0.0
    end = time.monotonic() + seconds
    try:
        while child.is_alive() and (used < seconds if processor else time.monotonic() < end):
            if ours.poll(0.2):
                places, used = ours.recv()
                if len(places) > len(best):
                    fine = legal(places)
                    best, broken = (places, broken) if fine else (best, broken + 1)
    except EOFError:
        pass
    child.kill()
    child.join()
    return best, broken


def _search(case: dict[str, Any], a_run: int, processor: bool, pipe: Any) -> None:
    # it prints a long trace for a shape it can't take; the caller says so in a line
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
    wall, edge = case["wall_mm"], case["edge_mm"]
    length, width = case["box_mm"]
    room, high = length - 2 * edge + 2 * wall, width - 2 * edge + 2 * wall
    shapes = [[(float(x), float(y)) for x, y in ring] for ring in case.get("footprints_mm", [case.get("footprint_mm")])]
    grown = sum(_grown_mm2(shape, wall) for shape in shapes) / len(shapes)
    count = max(1, int(0.68 * room * high / grown))
    seed, best = 1, 0
    lasts = float(a_run)
    while True:
        before = time.process_time()
        width_mm, places = _run(shapes, count, high, case, seed, round(lasts))
        if processor:
            # as long as it takes to get what two idle cores give
            share = (time.process_time() - before) / (2.0 * lasts)
            lasts = min(LONGEST_RUN_S, a_run / max(share, 0.05))
        inside = [(k, x + edge - wall, y + edge - wall, turn) for k, x, y, turn in places]
        fits = width_mm <= room
        pipe.send((inside if fits else [], time.process_time() / 2.0))
        # what would have fitted at this density; at the limit, the same again with another seed
        guess = int(count * room / width_mm)
        if fits:
            best = max(best, count)
            count = max(count + 1, guess)
        else:
            count = max(best + 1, min(count - 1, guess))
        seed += 1


def _grown_mm2(shape: list[tuple[float, float]], wall: float) -> float:
    ahead = shape[1:] + shape[:1]
    area = 0.5 * abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(shape, ahead, strict=True)))
    around = sum(math.dist(a, b) for a, b in zip(shape, ahead, strict=True))
    return area + around * wall / 2 + math.pi * wall * wall / 4


def _run(
    shapes: list[list[tuple[float, float]]], count: int, high: float, case: dict[str, Any], seed: int, a_run: int
) -> tuple[float, list[Place]]:
    """Return the width of a strip that so many take, and their places in it."""
    import spyrrow

    shares = [count // len(shapes) + int(k < count % len(shapes)) for k in range(len(shapes))]
    items = [
        spyrrow.Item(str(k), shape, share, case["turns_deg"])
        for k, (shape, share) in enumerate(zip(shapes, shares, strict=True))
        if share
    ]
    strip = spyrrow.StripPackingInstance("box", high, items)
    config = spyrrow.StripPackingConfig(
        total_computation_time=a_run, seed=seed, num_workers=2, min_items_separation=case["wall_mm"] or None
    )
    found = strip.solve(config)
    return float(found.width), [(int(p.id), *p.translation, p.rotation) for p in found.placed_items]
