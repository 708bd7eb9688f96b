"""The general nesting library as a user could use it: strips for more and more parts, in a process of its own."""

import math
import multiprocessing
import os
import time
from typing import Any

Place = tuple[float, float, float]


def most_by_nester(case: dict[str, Any], seconds: float, a_run: int = 10) -> tuple[list[Place], int]:
    """Return the fullest layout it finds and how many runs it took; places are about the footprint's own origin.

    Notes
    -----
    Its separation also holds to the strip's edges, so the strip is made ``H - 2 edge + 2 wall`` high. It can't be
    told to stop: the process is ended when the time is up and the best so far is what it had handed over.
    """
    context = multiprocessing.get_context("spawn")
    theirs, ours = context.Pipe()
    child = context.Process(target=_search, args=(case, a_run, theirs), daemon=True)
    child.start()
    best: list[Place] = []
    runs = 0
    end = time.monotonic() + seconds
    try:
        while (left := end - time.monotonic()) > 0 and child.is_alive():
            if ours.poll(min(left, 0.2)):
                runs += 1
                places = ours.recv()
                best = places if len(places) > len(best) else best
    except EOFError:
        pass
    child.kill()
    child.join()
    return best, runs


def _search(case: dict[str, Any], a_run: int, pipe: Any) -> None:
    import spyrrow

    # it prints a long trace for a shape it can't take; the caller says so in a line
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
    wall, edge = case["wall_mm"], case["edge_mm"]
    length, width = case["box_mm"]
    room, high = length - 2 * edge + 2 * wall, width - 2 * edge + 2 * wall
    shape = [(float(x), float(y)) for x, y in case["footprint_mm"]]
    area = 0.5 * abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(shape, shape[1:] + shape[:1], strict=True)))
    around = sum(math.dist(a, b) for a, b in zip(shape, shape[1:] + shape[:1], strict=True))
    grown = area + around * wall / 2 + math.pi * wall * wall / 4
    count = max(1, int(0.68 * room * high / grown))
    seed, best = 1, 0
    while True:
        item = spyrrow.Item("part", shape, count, case["turns_deg"])
        strip = spyrrow.StripPackingInstance("box", high, [item])
        config = spyrrow.StripPackingConfig(
            total_computation_time=a_run, seed=seed, num_workers=2, min_items_separation=wall or None
        )
        found = strip.solve(config)
        inside = [
            (p.translation[0] + edge - wall, p.translation[1] + edge - wall, p.rotation) for p in found.placed_items
        ]
        if found.width <= room:
            best = max(best, count)
            pipe.send(inside)
            guess = int(count * room / found.width)
            count = max(count + 1, guess)
        else:
            # what would have fitted at this density; at the limit, the same again with another seed
            count = max(best + 1, min(count - 1, int(count * room / found.width)))
        seed += 1
