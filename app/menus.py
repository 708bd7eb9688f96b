"""The table of actions as a menu bar."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QActionGroup
from PySide6.QtWidgets import QMenu

from app.actions import TABLE, Actions
from app.words import tr

if TYPE_CHECKING:
    from PySide6.QtWidgets import QMainWindow


def build_menus(window: QMainWindow, actions: Actions) -> dict[str, QMenu]:
    """Fill the window's menu bar and return the menus by their path in the table."""
    menus: dict[str, QMenu] = {}
    groups: dict[str, QActionGroup] = {}
    for spec in TABLE:
        menu = _menu_of(window, menus, spec.menu)
        if spec.id == "-":
            menu.addSeparator()
            continue
        action = actions[spec.id]
        menu.addAction(action)
        if spec.group:
            group = groups.setdefault(spec.group, QActionGroup(window))
            group.addAction(action)
    return menus


def _menu_of(window: QMainWindow, menus: dict[str, QMenu], path: str) -> QMenu:
    if path not in menus:
        parent, _, title = path.rpartition("/")
        menu = QMenu(tr(title), window)
        menu.setToolTipsVisible(True)
        if parent:
            _menu_of(window, menus, parent).addMenu(menu)
        else:
            window.menuBar().addMenu(menu)
        menus[path] = menu
    return menus[path]
