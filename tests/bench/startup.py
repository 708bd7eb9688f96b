"""How long the window takes to show, against a bare window that imports shapely and numpy; and how much memory.

Run ``python -m tests.bench.startup [--json] [--runs N]``. Each start is a process of its own, ours and the bare one in
turn. The clock runs from just before the process is launched, interpreter and imports and all, until the window is
shown and painted: its paint event has come and the event loop has gone round. The least of the runs counts, as whatever
else the machine does only adds; seconds of processor, which other work disturbs less, are told beside it.

Our window paints an empty box before numpy and shapely are there, and loads them in a thread right after: what the
bare window waits for. So ``loaded_s`` tells as well when both are loaded.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time

_HEAD = """
import os, sys, time
launched = float(os.environ["LAUNCHED"])
{body}
from PySide6.QtCore import QEvent, QObject
class Painted(QObject):
    seen = False
    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.Paint:
            self.seen = True
        return False
painted = Painted()
window.installEventFilter(painted)
window.show()
while not painted.seen:
    app.processEvents()
app.processEvents()
shown, processor = time.monotonic() - launched, time.process_time()
while not ("numpy" in sys.modules and hasattr(sys.modules.get("shapely"), "STRtree")):
    app.processEvents()
loaded = time.monotonic() - launched
import resource
print(shown, processor, loaded, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0)
sys.stdout.flush()
os._exit(0)
"""

BARE = _HEAD.format(
    body="""
import numpy, shapely
from PySide6.QtWidgets import QApplication, QMainWindow
app = QApplication(["bare"])
window = QMainWindow()
window.resize(1280, 720)
"""
)

OURS = _HEAD.format(
    body="""
from app.start import make_application
app = make_application(["manymold"])
from app.main_window import MainWindow
window = MainWindow()
"""
)


def run_once(code: str, home: str) -> tuple[float, float, float, float]:
    """Return seconds to the painted window, of processor, and until all is loaded; and the peak memory in MB."""
    environment = dict(os.environ, XDG_CONFIG_HOME=home, XDG_DATA_HOME=home, QT_QPA_PLATFORM="offscreen")
    # an installed program has its modules compiled: the cold start left out in `measure` compiles a checkout's
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    environment["LAUNCHED"] = repr(time.monotonic())
    done = subprocess.run(
        [sys.executable, "-c", code], env=environment, capture_output=True, text=True, timeout=60, check=True
    )
    shown, processor, loaded, megabytes = (float(word) for word in done.stdout.split())
    return shown, processor, loaded, megabytes


def measure(runs: int) -> dict[str, float]:
    """Return the least times and greatest memory of both windows, the first (cold) start of each left out."""
    with tempfile.TemporaryDirectory() as home:
        run_once(BARE, home), run_once(OURS, home)
        pairs = [(run_once(BARE, home), run_once(OURS, home)) for _ in range(runs)]
    bare, ours = list(zip(*(b for b, _ in pairs), strict=True)), list(zip(*(o for _, o in pairs), strict=True))
    return {
        "ours_s": min(ours[0]),
        "bare_s": min(bare[0]),
        "ratio": min(ours[0]) / min(bare[0]),
        "ours_mb": max(ours[3]),
        "bare_mb": max(bare[3]),
        "ours_cpu_s": min(ours[1]),
        "bare_cpu_s": min(bare[1]),
        "cpu_ratio": min(ours[1]) / min(bare[1]),
        "loaded_s": min(ours[2]),
    }


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--runs", type=int, default=7)
    args = parser.parse_args()
    found = measure(args.runs)
    if args.json:
        print(json.dumps(found))
    else:
        print(
            f"launch to painted: window {found['ours_s']:.3f} s, bare {found['bare_s']:.3f} s,"
            f" ratio {found['ratio']:.2f}; of processor {found['ours_cpu_s']:.3f} s, bare {found['bare_cpu_s']:.3f} s,"
            f" ratio {found['cpu_ratio']:.2f}; all loaded after {found['loaded_s']:.3f} s;"
            f" {found['ours_mb']:.0f} MB, bare {found['bare_mb']:.0f} MB"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
