"""Goes through the whole window: pages with their tabs, dialogs, menus, wrong entries; shows each to whoever looks."""

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from PySide6.QtCore import QEventLoop, QTimer
from PySide6.QtWidgets import QApplication, QMessageBox, QTabWidget, QWidget

from app.fields import TypedField
from app.main_window import MainWindow
from app.pages import PAGES
from app.pages.cavities import CavitiesPage
from layout.checks import check
from layout.model import Project
from layout.numbering import by_number

Look = Callable[[str, QWidget], None]
"""Called with a name and the widget to look at."""


def wait(milliseconds: int) -> None:
    """Let the window work; unlike QTest's own wait it lets other threads work too."""
    loop = QEventLoop()
    QTimer.singleShot(milliseconds, loop.quit)
    loop.exec()


def settle(window: MainWindow, longest_ms: int = 20_000) -> None:
    """Wait until nothing runs in the background and all layouts have settled."""
    wait(80)
    for _ in range(longest_ms // 40):
        if not window.jobs.is_busy:
            break
        wait(40)
    wait(60)


def go_through_pages(window: MainWindow, look: Look, name: str) -> None:
    """Look at every page, and at every tab of it."""
    for page in PAGES:
        window.open_page(page.id)
        settle(window)
        if page.id == "pour":
            # the slow advice comes when nothing has changed for a while
            wait(900)
        tabs = window.page_widget(page.id).findChildren(QTabWidget)
        if not tabs:
            look(f"{name}-{page.id}", window)
        for which, bar in enumerate(tabs):
            for index in range(bar.count()):
                bar.setCurrentIndex(index)
                settle(window)
                look(f"{name}-{page.id}-{which}{index}", window)
            bar.setCurrentIndex(0)
    window.open_page(PAGES[0].id)


def dialogs(window: MainWindow) -> Iterator[tuple[str, Callable[[], QWidget]]]:
    """Every dialog of the program with its name."""
    from app.dialogs import help as helps
    from app.dialogs.accept import AcceptDialog
    from app.dialogs.add_file import AddFile
    from app.dialogs.add_master import AddMaster
    from app.dialogs.catalogue import CatalogueDialog
    from app.dialogs.export import ExportDialog
    from app.dialogs.find_action import FindAction
    from app.dialogs.limits import LimitsDialog
    from app.dialogs.repeat import RepeatRoundDialog, RepeatRowsDialog
    from app.dialogs.sheets import SheetsDialog
    from app.dialogs.stiffness import StiffnessDialog

    page, store, project = window.page_widget("cavities"), window.store, window.store.project
    assert isinstance(page, CavitiesPage)
    ids = [c.id for c in project.cavities[:2]]
    for what in ("panels", "template", "report", "picture"):
        yield f"export-{what}", partial(ExportDialog, what, store, window.settings, window)
    yield "accept", lambda: AcceptDialog(by_number(check(project), project), project.units, window)
    yield "add-master", lambda: AddMaster(page.desk, window.settings, window)
    drawing = Path(__file__).resolve().parents[3] / "resources" / "demo" / "rosette.dxf"
    yield "add-file", lambda: AddFile(page.desk, drawing, window)
    yield "silicones", lambda: CatalogueDialog("silicone", project.silicone, window)
    yield "resins", lambda: CatalogueDialog("resin", project.resin, window)
    yield "find", lambda: FindAction(window.actions_table, window)
    yield "first-steps", lambda: helps.first_steps(window)
    yield "keys", lambda: helps.keys(window.actions_table, window)
    yield "about", lambda: helps.about(window)
    yield "limits", lambda: LimitsDialog(project, window)
    yield "repeat-rows", lambda: RepeatRowsDialog(project, ids[:1], window)
    yield "repeat-round", lambda: RepeatRoundDialog(project, ids[:1], window)
    yield "sheets", lambda: SheetsDialog(project.units, window)
    yield "stiffness", lambda: StiffnessDialog(project.units, 5.0, window)
    yield "unsaved", lambda: _question(window)


def _question(window: MainWindow) -> QMessageBox:
    """The question about unsaved changes, as the keeper of the file asks it."""
    kinds = QMessageBox.StandardButton
    box = QMessageBox(
        QMessageBox.Icon.Question,
        "Unsaved changes",
        "bolt-heads.manymold has changes that are not saved. Save them?",
        kinds.Save | kinds.Discard | kinds.Cancel,
        window,
    )
    box.setDefaultButton(kinds.Save)
    return box


def go_through_dialogs(window: MainWindow, look: Look, name: str) -> None:
    """Look at every dialog as it opens, and again with something wrong in its fields."""
    for which, make in dialogs(window):
        dialog = make()
        dialog.show()
        wait(150)
        look(f"{name}-{which}", dialog)
        if spoil(dialog):
            wait(150)
            look(f"{name}-{which}-wrong", dialog)
        dialog.close()
        dialog.deleteLater()
        wait(1)


def spoil(widget: QWidget) -> int:
    """Type what can't be read into each typed field of a widget; return how many there were."""
    fields = [f for f in widget.findChildren(TypedField) if f.isVisible() and f.isEnabled()]
    for field in fields:
        field.setText("soon")
        field.setModified(True)
        field.textEdited.emit("soon")
        field.editingFinished.emit()
    return len(fields)


def go_through_menus(window: MainWindow, look: Look, name: str) -> None:
    """Look at every menu and submenu."""
    for path, menu in window.menus.items():
        menu.popup(window.mapToGlobal(window.rect().topLeft()))
        wait(40)
        look(f"{name}-menu-{path.replace('&', '').replace('/', '-').replace(' ', '-').lower()}", menu)
        menu.hide()


def go_through_wrong_entries(window: MainWindow, look: Look, name: str) -> None:
    """Look at every page with something that can't be read in each of its fields."""
    for page in PAGES:
        window.open_page(page.id)
        settle(window)
        if spoil(window.page_widget(page.id)):
            wait(200)
            look(f"{name}-{page.id}", window)


def show_project(window: MainWindow, project: Project) -> None:
    """Open a project as it would be read from a file."""
    window.store.open(project, None)
    QApplication.processEvents()
