"""First steps, the list of keys, and about."""

from __future__ import annotations

import sys
from html import escape
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, qVersion
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QTextBrowser, QVBoxLayout, QWidget

from app.words import tr

if TYPE_CHECKING:
    from app.actions import Actions

_FIRST_STEPS = (
    "Put a master on the shelf: the part you want many of. Type a simple shape or take a drawing from a file.",
    "Say how large the box is inside, and how thick the wall between two cavities must be.",
    "Fill the box, or drag masters from the shelf onto the mold.",
    "A dragged cavity stops at the least wall and slides along it. Ctrl passes through, Shift keeps to one axis.",
    "Tab goes from cavity to cavity; Enter takes one in hand, arrow keys carry it, Enter puts it down.",
    "Arrow keys move by 1 mm or 1/32 in; with Shift farther, with Ctrl finer.",
    "Turn by the ring over the selection: in steps of 15°, with Shift of 1°, with Ctrl freely.",
    "A pin (Ctrl+K) keeps a cavity where it is when the box is filled; by hand it still moves.",
    "A keep-out (Ctrl+B) is a place for a pry slot, a finger or a label: drag a rectangle, and no cavity enters it.",
    "F6 shows the finished mold from its open face, which is the mirror image; F7 cuts through it along a line.",
    "The Box page cuts the panels, the Pour page mixes the silicone and the resin.",
    "The Order page says how many molds, casts and days an order takes, and what it costs.",
)

_CANVAS_KEYS = (
    ("Tab, Shift+Tab", "Next and previous cavity"),
    ("Arrow keys", "Move, held at the wall"),
    ("Shift+Arrow, Ctrl+Arrow", "Move farther, move finer"),
    ("Ctrl+Shift+Arrow", "Move through the wall"),
    ("Enter", "Take in hand, put down"),
    ("Ctrl+Tab, Ctrl+Shift+Tab", "From the shelf to the mold, to the answers and back"),
    ("Esc", "Cancel a drag; select nothing"),
    ("Wheel", "Zoom about the pointer"),
    ("Space+drag, middle button", "Shift the view"),
    ("Shift+drag", "Keep to one axis; add to the selection"),
    ("Ctrl+drag", "Pass through the wall"),
)


_HELD = ("Ctrl+", "Shift+", "Alt+", "Meta+")
_NAMED_KEYS = frozenset(
    ("Del", "Esc", "Ins", "Tab", "Backspace", "Return", "Enter", "Space", "Home", "End", "PgUp", "PgDown", "Left",
     "Right", "Up", "Down")
)  # fmt: skip


class TextDialog(QDialog):
    """Text that can be read, searched and copied."""

    def __init__(self, title: str, html: str, parent: QWidget | None = None, height_px: int = 460) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(title)
        self.text = QTextBrowser()
        self.text.setHtml(html)
        self.text.setAccessibleName(title)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.addWidget(self.text)
        column.addWidget(buttons)
        self.resize(560, height_px)


def first_steps(parent: QWidget) -> TextDialog:
    """Return the page F1 shows."""
    steps = "".join(f"<li style='margin-bottom:6px'>{escape(tr(step))}</li>" for step in _FIRST_STEPS)
    return TextDialog(tr("First steps"), f"<h3>{escape(tr('First steps'))}</h3><ol>{steps}</ol>", parent)


def keys(actions: Actions, parent: QWidget) -> TextDialog:
    """Return the list of every key."""
    rows = []
    for _, action in actions:
        texts = [k.toString(QKeySequence.SequenceFormat.NativeText) for k in action.shortcuts()]
        shortcuts = [text for text in texts if _is_on_keyboards(text)]
        if shortcuts:
            rows.append((", ".join(shortcuts), action.statusTip()))
    rows += [(tr(key), tr(what)) for key, what in _CANVAS_KEYS]
    rows.append(("Ctrl+PgUp, Ctrl+PgDown", tr("Previous and next page")))
    table = "".join(
        f"<tr><td style='padding-right:18px'><b>{escape(key)}</b></td><td>{escape(what)}</td></tr>"
        for key, what in rows
    )
    return TextDialog(tr("Keys"), f"<table cellspacing='3'>{table}</table>", parent)


def _is_on_keyboards(key: str) -> bool:
    """Whether a key is one that most keyboards have, not a button for "Copy" or "Zoom in" of some."""
    alone = _NAMED_KEYS | {f"F{n}" for n in range(1, 13)}
    if key in alone:
        return True
    pressed = key.removesuffix("+").rpartition("+")[2] or "+"
    return key.startswith(_HELD) and (len(pressed) == 1 or pressed in alone)


def _version_here() -> str:
    """The version a checkout says it is; empty where there is none."""
    import tomllib
    from pathlib import Path

    try:
        text = (Path(__file__).resolve().parents[2] / "pyproject.toml").read_text(encoding="utf-8")
        return str(tomllib.loads(text)["project"]["version"])
    except (OSError, KeyError, ValueError):
        return ""


def about(parent: QWidget) -> TextDialog:
    """Return the page with the versions."""
    import numpy as np
    import shapely

    try:
        from importlib.metadata import version

        own = version("manymold")
    except ImportError:
        own = tr("{version}, run from its folder", version=_version_here())
    lines = (
        tr("Manymold {version}", version=own),
        tr("Lays out gang molds, checks their walls, cuts their boxes, mixes their pours and plans their orders."),
        tr("Numbers of materials are common values: the data sheet of what you have in hand wins."),
        f"Python {sys.version.split()[0]}, Qt {qVersion()}, Shapely {shapely.__version__}, NumPy {np.__version__}",
    )
    return TextDialog(tr("About Manymold"), "".join(f"<p>{escape(line)}</p>" for line in lines), parent, 230)
