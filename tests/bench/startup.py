"""How long the window takes to show, against a bare window that imports shapely and numpy; and how much memory.

Run ``python -m tests.bench.startup [--json] [--runs N]``: each start is a process of its own, the two kinds in turn;
the least of the runs counts, as whatever else the machine does only adds.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile

_COMMON = """
import resource, sys, time
begin = time.monotonic()
{body}
window.show()
app.processEvents()
app.processEvents()
print(time.monotonic() - begin, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0, time.process_time())
sys.stdout.flush()
import os
os._exit(0)
"""

BARE = _COMMON.format(
    body="""
import numpy, shapely
from PySide6.QtWidgets import QApplication, QMainWindow
app = QApplication(["bare"])
window = QMainWindow()
window.resize(1280, 720)
"""
)

OURS = _COMMON.format(
    body="""
from app.start import make_application
app = make_application(["manymold"])
from app.main_window import MainWindow
window = MainWindow()
"""
)


def run_once(code: str, home: str) -> tuple[float, float, float]:
    """Return seconds to the shown window, the peak memory in MB and the seconds of processor of one process."""
    environment = dict(os.environ, XDG_CONFIG_HOME=home, XDG_DATA_HOME=home, QT_QPA_PLATFORM="offscreen")
    # an installed program has its modules compiled: the cold start left out in `measure` compiles a checkout's
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    done = subprocess.run(
        [sys.executable, "-c", code], env=environment, capture_output=True, text=True, timeout=60, check=True
    )
    seconds, megabytes, processor = done.stdout.split()
    return float(seconds), float(megabytes), float(processor)


def measure(runs: int) -> dict[str, float]:
    """Return the least times and greatest memory of both windows, the first (cold) start of each left out."""
    with tempfile.TemporaryDirectory() as home:
        run_once(BARE, home), run_once(OURS, home)
        pairs = [(run_once(BARE, home), run_once(OURS, home)) for _ in range(runs)]
    bare_s, ours_s = min(b[0] for b, _ in pairs), min(o[0] for _, o in pairs)
    return {
        "ours_s": ours_s,
        "bare_s": bare_s,
        "ratio": ours_s / bare_s,
        "ours_mb": max(o[1] for _, o in pairs),
        "bare_mb": max(b[1] for b, _ in pairs),
        "ours_cpu_s": min(o[2] for _, o in pairs),
        "bare_cpu_s": min(b[2] for b, _ in pairs),
    }


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--runs", type=int, default=5)
    args = parser.parse_args()
    found = measure(args.runs)
    if args.json:
        print(json.dumps(found))
    else:
        print(
            f"window {found['ours_s']:.3f} s, bare {found['bare_s']:.3f} s, ratio {found['ratio']:.2f};"
            f" of processor {found['ours_cpu_s']:.3f} s, bare {found['bare_cpu_s']:.3f} s;"
            f" {found['ours_mb']:.0f} MB, bare {found['bare_mb']:.0f} MB"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
