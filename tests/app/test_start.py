"""Starting: a missing display is one sentence, a wrong file too; a file opens."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from app.start import missing_display, missing_library
from layout import project_file
from tests.app.canvas_help import discs

ROOT = Path(__file__).resolve().parents[2]


def run(*words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "app", *words], cwd=ROOT, env={**os.environ, **environment},
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="displays are named so on Linux")
def test_that_a_missing_display_is_told_in_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    done = run()
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1
    assert "no display" in done.stderr


def test_that_a_display_is_found_where_there_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert missing_display() == ""
    assert missing_library() == ""


def test_that_a_file_that_is_no_project_is_told_in_one_sentence(tmp_path: Path) -> None:
    bad = tmp_path / "bad.manymold"
    bad.write_text("{")
    done = run(str(bad), QT_QPA_PLATFORM="offscreen", XDG_CONFIG_HOME=str(tmp_path))
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert "bad.manymold" in done.stderr
    assert "Traceback" not in done.stderr


def test_that_a_slip_in_a_command_opens_no_window() -> None:
    done = run("fil", QT_QPA_PLATFORM="offscreen")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


def test_that_a_named_project_is_opened(tmp_path: Path) -> None:
    path = tmp_path / "two.manymold"
    project_file.save(discs((40, 40), (80, 40)), path)
    code = (
        "import sys\n"
        "from PySide6.QtCore import QTimer\n"
        "from PySide6.QtWidgets import QApplication\n"
        "import app.main_window as m\n"
        "made = []\n"
        "old = m.MainWindow.show\n"
        "def show(self):\n"
        "    old(self)\n"
        "    print(len(self.store.project.cavities), self.windowTitle())\n"
        "    QTimer.singleShot(50, self.close)\n"
        "m.MainWindow.show = show\n"
        "from app.__main__ import main\n"
        f"sys.exit(main([{str(path)!r}]))\n"
    )
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "XDG_CONFIG_HOME": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, env=environment, capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.split()[:2] == ["2", "two.manymold[*]"]


def test_that_a_process_whose_search_still_compiles_ends_at_once_and_by_its_own_code() -> None:
    code = (
        "import threading, time\n"
        "import app.__main__ as m\n"
        "def main():\n"
        "    threading.Thread(target=time.sleep, args=(30,)).start()\n"
        "    print('Wrote it.')\n"
        "    return 3\n"
        "m.main = main\n"
        "m.start()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, timeout=20, check=False
    )
    assert done.returncode == 3
    assert done.stdout == "Wrote it.\n"
