"""Libraries that load late: the window is painted without them, and they are there right after."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def python(code: str, home: Path) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, timeout=60, check=False,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen", "XDG_CONFIG_HOME": str(home), "XDG_DATA_HOME": str(home)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_that_the_empty_window_is_painted_before_numpy_and_shapely_are_loaded(tmp_path: Path) -> None:
    code = """
import os, sys, time
from app.start import make_application
app = make_application(["manymold"])
from app.main_window import MainWindow
window = MainWindow()
window.show()
print([m for m in ("numpy", "shapely", "scipy", "ezdxf", "msgspec", "json") if m in sys.modules])
while not window._painted:
    print([m for m in ("numpy", "shapely") if m in sys.modules])
    app.processEvents()
end = time.monotonic() + 30
while "shapely.strtree" not in sys.modules and time.monotonic() < end:
    app.processEvents()
print("shapely.strtree" in sys.modules)
sys.stdout.flush()
os._exit(0)
"""
    lines = python(code, tmp_path).splitlines()
    assert lines[-1] == "True"
    assert set(lines[:-1]) == {"[]"}


def test_that_a_stand_in_is_the_library_once_it_is_used(tmp_path: Path) -> None:
    code = """
import sys
from app.late import put_off
put_off(["layout.geometry", "layout.checks"])
assert "numpy" not in sys.modules and "shapely" not in sys.modules
from layout import checks, geometry
import shapely
square = geometry.place(geometry.Outline(((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))), 3.0, 3.0, 45.0)
assert isinstance(square, shapely.Polygon)
assert geometry.np.float64 is __import__("numpy").float64
print(round(square.area, 9))
"""
    assert python(code, tmp_path) == "4.0\n"


def test_that_a_module_that_uses_its_library_at_once_gets_it(tmp_path: Path) -> None:
    (tmp_path / "eager.py").write_text("import numpy as np\nFOUR = np.ones(4).sum()\n")
    code = f"""
import sys
sys.path.insert(0, {str(tmp_path)!r})
from app.late import put_off
put_off(["eager"])
import eager, numpy
print(eager.FOUR, numpy.pi > 3)
"""
    assert python(code, tmp_path) == "4.0 True\n"
