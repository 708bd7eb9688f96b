"""Ctrl+Tab goes from panel to panel of the Cavities page: the shelf's side, the mold, the answers' side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget

FORWARD, BACK = ("Ctrl+Tab",), ("Ctrl+Shift+Tab", "Ctrl+Shift+Backtab")


class PanelKeys:
    """Moves the focus between the columns of a page, each to the first of its widgets that can take it."""

    def __init__(self, page: QWidget, columns: Sequence[QWidget], firsts: Sequence[Sequence[QWidget]]) -> None:
        self._page, self._columns, self._firsts = page, columns, firsts
        for keys, step in ((FORWARD, 1), (BACK, -1)):
            for key in keys:
                shortcut = QShortcut(QKeySequence(key), page)
                shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
                shortcut.activated.connect(lambda step=step: self.go(step))

    def go(self, step: int) -> None:
        """Go on to the next column, or back to the one before."""
        here = next((i for i, column in enumerate(self._columns) if self._has_focus(column)), 0)
        for _ in self._columns:
            here = (here + step) % len(self._columns)
            for widget in self._firsts[here]:
                if widget.isEnabled() and widget.isVisible():
                    reason = Qt.FocusReason.TabFocusReason if step > 0 else Qt.FocusReason.BacktabFocusReason
                    widget.setFocus(reason)
                    return

    def _has_focus(self, column: QWidget) -> bool:
        focus = self._page.window().focusWidget()
        return focus is not None and (focus is column or column.isAncestorOf(focus))
