"""Start of the window: what is missing on the machine is said in one sentence; errors are shown, not swallowed."""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from layout.errors import LayoutError

if TYPE_CHECKING:
    from types import TracebackType

    from PySide6.QtWidgets import QApplication

    from app.main_window import MainWindow

APT_LINE = (
    "sudo apt install -y libglib2.0-0 libgl1 libegl1 libxcb-cursor0 libxkbcommon-x11-0 libxcb-icccm4 libxcb-keysyms1"
    " libxcb-xkb1 libxcb-shape0"
)
BAD_INPUT = 2


def missing_display() -> str:
    """Return why no window can be shown here, in one sentence; empty if one can."""
    if not sys.platform.startswith("linux") or os.environ.get("QT_QPA_PLATFORM"):
        return ""
    if os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"):
        return ""
    return "window: this session has no display; start it on a desktop, or use a command (manymold --help)."


def missing_library() -> str:
    """Return which library Qt misses, in one sentence with the line that installs it; empty if none."""
    try:
        import PySide6.QtWidgets  # noqa: F401
    except ImportError as error:
        if not sys.platform.startswith("linux"):
            return f"window: it needs a library that is missing ({error}); install the program again."
        return f"window: it needs a system library that is missing ({error}); install it with: {APT_LINE}"
    if sys.platform.startswith("linux") and os.environ.get("DISPLAY") and not os.environ.get("QT_QPA_PLATFORM"):
        import ctypes

        try:
            ctypes.CDLL("libxcb-cursor.so.0")
        except OSError:
            if not os.environ.get("WAYLAND_DISPLAY"):
                return f"window: it needs libxcb-cursor.so.0, which is missing; install it with: {APT_LINE}"
    return ""


def _load_layout() -> None:
    """Import what the window will need of `layout` before Qt: once Qt is there, it reads each new module's source."""
    from app.late import put_off

    put_off(f"layout.{n}" for n in ("checks", "gaps", "mirror", "numbering", "pour.mixing", "volumes", "wording"))


def make_application(arguments: list[str]) -> QApplication:
    """Return the application, named so that its settings have a place."""
    # a start makes much and throws nothing away; later `app.garbage` collects, and it says why
    gc.disable()
    _load_layout()
    from PySide6.QtWidgets import QApplication

    from app.settings import APPLICATION, ORGANISATION

    QApplication.setOrganizationName(ORGANISATION)
    QApplication.setApplicationName(APPLICATION)
    QApplication.setDesktopFileName("manymold")
    # asked for here, Qt makes the style itself; asked for later, all of Qt's style classes are loaded for it
    app = QApplication([*arguments, "-style", "fusion"])
    app.setProperty("styled", True)
    translations = Path(__file__).resolve().parent.parent / "resources" / "translations"
    if translations.is_dir():
        _translate(app, translations)
    return app


def _translate(app: QApplication, folder: Path) -> None:
    """Put the texts of the user's language in, where there are any: ours, and then Qt's own too."""
    import json

    from PySide6.QtCore import QLibraryInfo, QLocale, QTranslator

    from app.words import use

    for name in QLocale().uiLanguages():
        file = folder / f"{name.replace('-', '_')}.json"
        if file.is_file():
            texts = json.loads(file.read_text(encoding="utf-8"))
            use({english: text for english, text in texts.items() if text}, name)
            translator = QTranslator(app)
            own = QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)
            if translator.load(QLocale(name), "qtbase", "_", own):
                app.installTranslator(translator)
            return


def show_errors(window: MainWindow) -> None:
    """Let an error that nothing caught be shown in the window, with its details to copy, and go on."""

    def hook(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            window.close()
            return
        import traceback

        details = "".join(traceback.format_exception(kind, error, trace))
        sys.stderr.write(details)
        if isinstance(error, LayoutError):
            from app.words import said

            window.tell(said(error))
        else:
            window.show_crash(error, details)

    sys.excepthook = hook


def open_window(file: str | None) -> int:
    """Show the window, return the exit code."""
    problem = missing_display() or missing_library()
    if problem:
        sys.stderr.write(problem + "\n")
        return BAD_INPUT
    app = make_application(["manymold"])
    from app.main_window import MainWindow

    window = MainWindow()
    show_errors(window)
    if file is not None:
        try:
            window.files.open_path(Path(file), quiet=False)
        except LayoutError as error:
            sys.stderr.write(" ".join(str(error).split()) + "\n")
            window.close()
            return BAD_INPUT
    window.fit_screen()
    window.show()
    window.files.offer_recovery(None if file is None else Path(file))
    return app.exec()
