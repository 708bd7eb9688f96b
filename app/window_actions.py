"""Which action of the table does what for the window as a whole."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QApplication

from app.pages import PAGES
from app.words import tr

if TYPE_CHECKING:
    from pathlib import Path

    from app.main_window import MainWindow
    from app.settings import Theme
    from layout.units import LengthUnit


class WindowActions:
    """Connects the table of actions with the window."""

    def __init__(self, window: MainWindow) -> None:
        self._window = window
        self._actions = window.actions_table
        self._connect()
        self._undo()
        self._recent()
        self.show_choices()

    def _connect(self) -> None:
        window, files = self._window, self._window.files
        for action, handler in {
            "new": files.new, "open": files.open, "save": files.save, "save_as": files.save_as,
            "close": window.close, "quit": QApplication.closeAllWindows, "find_action": self._find_action,
            "full_screen": self._full_screen, "reset_window": self._reset, "help": self._help, "keys": self._keys,
            "about": self._about, "demo": self._demo,
            "units_mm": lambda: self._units("mm"), "units_in": lambda: self._units("in"),
            "look_system": lambda: self._look("system"), "look_light": lambda: self._look("light"),
            "look_dark": lambda: self._look("dark"),
            "export_panels": lambda: self._export("panels"), "export_template": lambda: self._export("template"),
            "export_report": lambda: self._export("report"), "export_picture": lambda: self._export("picture"),
            "print": self._print,
        }.items():  # fmt: skip
            self._actions.connect_to(action, handler)
        for page in PAGES:
            self._actions.connect_to(f"page_{page.id}", partial(window.open_page, page.id))

    def _undo(self) -> None:
        stack = self._window.store.undo_stack
        undo, redo = self._actions["undo"], self._actions["redo"]
        self._actions.connect_to("undo", stack.undo)
        self._actions.connect_to("redo", stack.redo)
        stack.undoTextChanged.connect(lambda text: undo.setText(tr("&Undo {what}", what=text) if text else tr("&Undo")))
        stack.redoTextChanged.connect(lambda text: redo.setText(tr("&Redo {what}", what=text) if text else tr("&Redo")))
        stack.canUndoChanged.connect(lambda _can: self._window.refresh_enabled())
        stack.canRedoChanged.connect(lambda _can: self._window.refresh_enabled())

    def _recent(self) -> None:
        from PySide6.QtWidgets import QMenu

        self._menu = QMenu(self._window)
        self._menu.setToolTipsVisible(True)
        self._actions["recent"].setMenu(self._menu)
        self._actions.connected.add("recent")
        self._menu.aboutToShow.connect(self.fill_recent)

    def fill_recent(self) -> list[str]:
        """Fill the menu of recent projects; missing ones are shown and go away when chosen."""
        self._menu.clear()
        settings = self._window.settings
        for number, path in enumerate(settings.recent_files, start=1):
            here = path.exists()
            text = f"&{number % 10} {path.name}" if here else tr("&{n} {name} (missing)", n=number % 10, name=path.name)
            action = self._menu.addAction(text)
            action.setToolTip(str(path) if here else tr("{path} is gone; choose it to forget it", path=str(path)))
            action.triggered.connect(lambda _checked=False, path=path: self._open_recent(path))
        if not settings.recent_files:
            self._menu.addAction(tr("None yet")).setEnabled(False)
        self._menu.addSeparator()
        clear = self._menu.addAction(tr("&Clear this list"))
        clear.triggered.connect(lambda _checked=False: setattr(settings, "recent_files", []))
        return [a.text() for a in self._menu.actions()]

    def _open_recent(self, path: Path) -> None:
        settings = self._window.settings
        if path.exists():
            self._window.files.open_path(path)
        else:
            settings.recent_files = [f for f in settings.recent_files if f != path]
            self._window.tell(tr("{name} is gone; it was taken off the list.", name=path.name))

    def show_choices(self) -> None:
        """Mark the unit and the look that are on."""
        unit = self._window.store.project.units.length
        for name in ("mm", "in"):
            self._actions[f"units_{name}"].setChecked(unit == name)
        for theme in ("system", "light", "dark"):
            self._actions[f"look_{theme}"].setChecked(self._window.themes.choice == theme)

    def _units(self, unit: LengthUnit) -> None:
        store = self._window.store
        units = replace(store.project.units, length=unit)
        self._window.settings.units = units
        shown = replace(store.project, units=units)
        if store.path is None and not store.is_modified and not store.project.masters:
            # an empty box in another unit is no work to be saved
            store.open(shown, None)
        else:
            store.apply(tr("Show lengths in {unit}", unit=unit), shown)
        self.show_choices()

    def _look(self, theme: Theme) -> None:
        self._window.choose_look(theme)

    def _full_screen(self) -> None:
        window = self._window
        window.showNormal() if window.isFullScreen() else window.showFullScreen()
        self._actions["full_screen"].setChecked(window.isFullScreen())

    def _reset(self) -> None:
        window = self._window
        window.settings.forget_all()
        window.choose_look("system")
        window.showNormal()
        window.resize(1280, 720)
        self.show_choices()
        window.tell(tr("Sizes and choices of this window are as at the first start."))

    def _find_action(self) -> None:
        from app.dialogs.find_action import FindAction

        FindAction(self._actions, self._window).open()

    def _help(self) -> None:
        from app.dialogs.help import first_steps

        first_steps(self._window).open()

    def _keys(self) -> None:
        from app.dialogs.help import keys

        keys(self._actions, self._window).open()

    def _about(self) -> None:
        from app.dialogs.help import about

        about(self._window).open()

    def _demo(self) -> None:
        from app.example import example_project

        if self._window.files.may_leave():
            project = example_project()
            units = self._window.settings.units
            # nothing of the user's is lost with it: no reason to ask about saving it
            self._window.store.open(replace(project, units=units), None)

    def _export(self, what: str) -> None:
        from app.dialogs.export import export

        export(what, self._window.store, self._window.settings, self._window)

    def _print(self) -> None:
        from app.pages.box import BoxPage

        # as from the page itself: on the paper chosen there, with its letters
        page = self._window.page_widget("box")
        assert isinstance(page, BoxPage)
        page.show_paper()
        page.print_template()
