"""Takes pictures of the window in a look and writes them to a folder, and says what can't be read in them.

Run as ``python -m tests.app.take_pictures FOLDER light|dark [--all] [--in] [--scale 2] [--size 1920x1080]``. Without
``--all`` it is every page once, as `test_pictures` takes them; with it every page and tab with projects of 1 to 300
cavities, every dialog and menu, and wrong entries. ``--only NAME`` takes the projects, or ``dialogs``, ``menus``,
``wrong`` and ``empty``, of that name alone; ``--say`` only says what is wrong and keeps no pictures.
"""

import argparse
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from app.main_window import MainWindow


class Album:
    """Pictures in a folder, and what is wrong in them."""

    def __init__(self, folder: Path, *, keeps: bool = True) -> None:
        self.folder, self._keeps = folder, keeps
        self.wrong: list[str] = []

    def shoot(self, name: str, widget: "QWidget") -> None:
        """Take a picture of a widget."""
        from tests.app.gallery.faults import faults, painted_faults, painted_texts

        with painted_texts() as painted:
            picture = widget.grab()
        if self._keeps:
            picture.save(str(self.folder / f"{name}.png"))
        found = [*faults(widget), *painted_faults(painted)]
        self.wrong += [f"{name}: {fault}" for fault in dict.fromkeys(found)]


def a_window(look: str, inches: bool, size: tuple[int, int]) -> "MainWindow":
    """Return the window, shown."""
    from app.main_window import MainWindow

    window = MainWindow()
    window.choose_look("dark" if look == "dark" else "light")
    window.actions_table["units_in" if inches else "units_mm"].trigger()
    window.resize(*size)
    window.show()
    return window


def take(folder: Path, look: str) -> list[str]:
    """Write a picture of each page and return what is wrong in them, each with its page."""
    from app.example import example_project
    from app.pages import PAGES
    from app.pages.cavities import CavitiesPage
    from layout import edits
    from tests.app.gallery.tour import wait

    window, album = a_window(look, False, (1280, 720)), Album(folder)

    def shoot(name: str) -> None:
        wait(60)
        album.shoot(name, window)

    shoot("empty")
    window.store.open(example_project(), None)
    page = window.page_widget("cavities")
    assert isinstance(page, CavitiesPage)
    page.desk.selection.set([window.store.project.cavities[17].id])
    wait(2500)
    shoot("cavities")
    project = window.store.project
    window.store.apply("Move", edits.move_cavities(project, [project.cavities[20].id], 2.3, 1.0))
    page.desk.selection.set([c.id for c in project.cavities[9:11]])
    window.actions_table["section"].trigger()
    window.actions_table["open_face"].trigger()
    window.actions_table["units_in"].trigger()
    shoot("broken-mirrored-inches")
    window.store.undo_stack.setIndex(0)
    for other in PAGES[1:]:
        window.open_page(other.id)
        shoot(other.id)
    window.store.undo_stack.setClean()
    window.close()
    return album.wrong


def take_all(
    folder: Path, look: str, inches: bool, size: tuple[int, int], only: list[str], *, keeps: bool
) -> list[str]:
    """Write pictures of everything and return what is wrong in them."""
    from dataclasses import replace

    from app.example import example_project
    from layout.units import Units
    from tests.app.gallery import tour
    from tests.app.gallery.projects import PROJECTS, broken

    window, album = a_window(look, inches, size), Album(folder, keeps=keeps)
    units = Units("in" if inches else "mm")

    def opened(project: object) -> None:
        tour.show_project(window, replace(project, units=units))  # type: ignore[type-var]

    if not only or "empty" in only:
        tour.go_through_pages(window, album.shoot, "empty")
    for name, make in PROJECTS.items():
        if not only or name in only:
            opened(make())
            if name == "broken":
                window.actions_table["select_all"].trigger()
            tour.go_through_pages(window, album.shoot, name)
    opened(broken())
    if not only or "dialogs" in only:
        tour.go_through_dialogs(window, album.shoot, "dialog")
    if not only or "menus" in only:
        tour.go_through_menus(window, album.shoot, "open")
    if not only or "wrong" in only:
        opened(example_project())
        tour.go_through_wrong_entries(window, album.shoot, "wrong")
    window.store.undo_stack.setClean()
    window.close()
    return album.wrong


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="take_pictures")
    parser.add_argument("folder", type=Path)
    parser.add_argument("look", choices=("light", "dark"))
    parser.add_argument("--all", action="store_true")
    parser.add_argument("--in", dest="inches", action="store_true")
    parser.add_argument("--scale")
    parser.add_argument("--size", default="1280x720")
    parser.add_argument("--say", action="store_true")
    parser.add_argument("--only", action="append", default=[])
    args = parser.parse_args(arguments)
    if args.scale:
        os.environ["QT_SCALE_FACTOR"] = args.scale
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6.QtCore import QSettings

    from app.start import make_application

    args.folder.mkdir(parents=True, exist_ok=True)
    QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(args.folder / "settings"))
    application = make_application(["pictures"])
    if args.all or args.only:
        width, height = (int(part) for part in args.size.split("x"))
        wrong = take_all(args.folder, args.look, args.inches, (width, height), args.only, keeps=not args.say)
    else:
        wrong = take(args.folder, args.look)
    for line in wrong:
        print(line)
    application.quit()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
