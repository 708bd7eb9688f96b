"""What a user does in the window, one action after another, for `tests.bench.blocks`; each as the hand does it."""

from collections.abc import Callable, Iterator
from pathlib import Path
from time import monotonic, sleep

from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QApplication, QDialog, QTabWidget, QWidget

from app.dialogs.export import ExportDialog
from app.fields import AmountField
from app.main_window import MainWindow
from app.pages.box import BoxPage
from app.pages.cavities import CavitiesPage
from app.pages.order import OrderPage
from app.pages.pour import PourPage
from app.words import tr
from tests.bench.blocks import Action

Event = Callable[[], object]
PAGES = ("cavities", "box", "pour", "order")
NONE, SHIFT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier
LEFT, NO_BUTTON = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton


def all_actions(window: MainWindow, file: Path, folder: Path) -> Iterator[Action]:
    """Tell all actions, one after another: each is asked for when those before it are done."""
    yield Action("open the project", (lambda: window.files.open_path(file),))
    for page in (*PAGES[1:], *PAGES[:1]):
        yield Action(
            f"page {page}, first visit" if page != "cavities" else "page cavities, again", (_page(window, page),)
        )
    for page in (*PAGES[1:], *PAGES[:1]):
        yield Action(f"page {page}, again", (_page(window, page),))
    yield from _selecting(window)
    yield from _laying(window)
    yield from _looking(window)
    yield from _filling(window)
    yield from _pages(window)
    yield from _exports(window, folder)
    yield Action("autosave to the side", (window.files.recovery._keep_aside,))
    yield Action("save", (_menu(window, "save"),))
    yield Action("open the project again", (lambda: window.files.open_path(file),))
    yield Action("new project", (_menu(window, "new"),))
    yield Action("open it a third time", (lambda: window.files.open_path(file),))
    yield Action("close the window", (window.close,))


def _menu(window: MainWindow, action: str) -> Event:
    return window.actions_table[action].trigger


def _page(window: MainWindow, page: str) -> Event:
    return _menu(window, f"page_{page}")


def _cavities(window: MainWindow) -> CavitiesPage:
    page = window.page_widget("cavities")
    assert isinstance(page, CavitiesPage)
    return page


def _key(widget: QWidget, key: Qt.Key, modifier: Qt.KeyboardModifier = NONE) -> Event:
    def press() -> None:
        for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            QApplication.sendEvent(widget, QKeyEvent(kind, key, modifier))

    return press


def _mouse(
    page: CavitiesPage, kind: QEvent.Type, at: tuple[float, float], modifier: Qt.KeyboardModifier = NONE
) -> Event:
    def happen() -> None:
        place, where = page.view.pixel_at(at), page.view.viewport()
        button = NO_BUTTON if kind == QEvent.Type.MouseMove else LEFT
        held = NO_BUTTON if kind == QEvent.Type.MouseButtonRelease else LEFT
        globally = QPointF(where.mapToGlobal(place.toPoint()))
        QApplication.sendEvent(where, QMouseEvent(kind, place, globally, button, held, modifier))

    return happen


def _drag(
    page: CavitiesPage, start: tuple[float, float], end: tuple[float, float], modifier: Qt.KeyboardModifier = NONE
) -> tuple[Event, ...]:
    moves = [(start[0] + (end[0] - start[0]) * k / 6.0, start[1] + (end[1] - start[1]) * k / 6.0) for k in range(1, 7)]
    return (
        _mouse(page, QEvent.Type.MouseButtonPress, start, modifier),
        *(_mouse(page, QEvent.Type.MouseMove, at, modifier) for at in moves),
        _mouse(page, QEvent.Type.MouseButtonRelease, end, modifier),
    )


def _typed(field: AmountField, text: str) -> Event:
    def type_it() -> None:
        field.setText(text)
        field.setModified(True)
        field.editingFinished.emit()

    return type_it


def _selecting(window: MainWindow) -> Iterator[Action]:
    page = _cavities(window)
    first, last = page.store.project.cavities[0], page.store.project.cavities[-1]
    click = (QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonRelease)
    yield Action("click a cavity", tuple(_mouse(page, kind, (first.x_mm, first.y_mm)) for kind in click))
    yield Action("add one by Shift", tuple(_mouse(page, kind, (last.x_mm, last.y_mm), SHIFT) for kind in click))
    yield Action("select all", (_menu(window, "select_all"),))
    yield Action("take one out by Shift", tuple(_mouse(page, kind, (last.x_mm, last.y_mm), SHIFT) for kind in click))
    yield Action("select all again", (_menu(window, "select_all"),))
    yield Action("move all by an arrow key", (_key(page.view, Qt.Key.Key_Right),))
    yield Action("turn all", (_menu(window, "turn_step_left"),))
    yield Action("undo", (_menu(window, "undo"),))
    yield Action("pin all", (_menu(window, "pin"),))
    yield Action("unpin all", (_menu(window, "unpin"),))
    yield Action("copy all", (_menu(window, "copy"),))
    yield Action("repeat all, dialog", (_menu(window, "repeat_rows"), lambda: _close_dialogs(window)))
    yield Action("mirror all", (_menu(window, "mirror_x"),))
    yield Action("undo", (_menu(window, "undo"),))
    yield Action("delete all", (_menu(window, "delete"),))
    yield Action("undo", (_menu(window, "undo"),))
    yield Action("select none", (page.desk.selection.clear,))
    x, y = (max(getattr(c, at) for c in page.store.project.cavities) for at in ("x_mm", "y_mm"))
    yield Action("rubber band over all", _drag(page, (2.0, 2.0), (x + 25.0, y + 25.0)))
    yield Action("rubber band over a third", _drag(page, (2.0, 2.0), (x / 2.0, y / 1.5)))
    yield Action("drag that third", _drag(page, (first.x_mm, first.y_mm), (first.x_mm + 20.0, first.y_mm + 9.0)))
    yield Action("undo", (_menu(window, "undo"),))
    yield Action("select the same masters", (_menu(window, "select_same"),))


def _laying(window: MainWindow) -> Iterator[Action]:
    page = _cavities(window)
    middle = page.store.project.cavities[len(page.store.project.cavities) // 2]
    yield Action("select one", (lambda: page.desk.selection.set([middle.id]),))
    for key in (Qt.Key.Key_Right, Qt.Key.Key_Up):
        yield Action("move one by an arrow key", (_key(page.view, key),))
    yield Action("type a place", (_typed(page.inspector.x_field, f"{middle.x_mm + 1.5:.2f} mm"),))
    yield Action("turn one", (_menu(window, "turn_left"),))
    yield Action("drag one", _drag(page, *_led(page)))
    for name in ("undo", "redo", "undo"):
        yield Action(name, (_menu(window, name),))
    for name in ("duplicate", "copy", "paste", "pin", "place_one"):
        yield Action(name.replace("_", " "), (_menu(window, name),))
    few = [c.id for c in page.store.project.cavities[:8]]
    yield Action("select eight", (lambda: page.desk.selection.set(few),))
    for name in ("line_left", "undo", "space_x", "undo", "mirror_x", "undo", "order_selection", "order_serpentine"):
        yield Action(name.replace("_", " "), (_menu(window, name),))
    one = page.store.project.cavities[0].id
    yield Action("select one", (lambda: page.desk.selection.set([one]),))
    for name in ("repeat_rows", "repeat_round"):
        yield Action(f"{name.replace('_', ' ')}, dialog", (_menu(window, name),))
        yield Action(f"{name.replace('_', ' ')}, take", (lambda: _accept_dialogs(window),))
        yield Action("undo", (_menu(window, "undo"),))
    rules, wall = page.rules, page.store.project.rules.wall_mm
    yield Action("a wall nothing keeps", (_typed(rules.wall_field, "9 mm"),))
    yield Action("the old wall", (_typed(rules.wall_field, f"{wall} mm"),))
    yield Action("a wider edge", (_typed(rules.edge_field, "30 mm"),))
    yield Action("undo", (_menu(window, "undo"),))
    yield Action("a longer box", (_typed(rules.length_field, "1500 mm"),))
    yield Action("undo", (_menu(window, "undo"),))


def _led(page: CavitiesPage) -> tuple[tuple[float, float], tuple[float, float]]:
    chosen = page.desk.selection.cavities[0]
    one = next(c for c in page.store.project.cavities if c.id == chosen)
    return (one.x_mm, one.y_mm), (one.x_mm + 40.0, one.y_mm + 25.0)


def _looking(window: MainWindow) -> Iterator[Action]:
    page = _cavities(window)
    for name in ("section", "open_face"):
        yield Action(f"{name.replace('_', ' ')} on", (_menu(window, name),))
        if name == "section":
            yield Action("section slid", tuple(lambda k=k: page.section.place.setValue(k) for k in (300, 420, 700)))
        yield Action(f"{name.replace('_', ' ')} off", (_menu(window, name),))
    for name in ("look_dark", "look_light", "units_in", "units_mm", "zoom_in", "zoom_in", "zoom_out", "zoom_fit",
                 "zoom_selection", "zoom_fit", "show_grid", "show_grid"):  # fmt: skip
        yield Action(name.replace("_", " "), (_menu(window, name),))
    yield Action("a larger window", (lambda: window.resize(1600, 900),))
    yield Action("a smaller window", (lambda: window.resize(1280, 720),))


def _filling(window: MainWindow) -> Iterator[Action]:
    page = _cavities(window)
    yield Action("fill for 4 s", (_typed(page.seconds, "4 s"), _menu(window, "fill")))
    yield Action("undo", (_menu(window, "undo"),))

    yield Action("fill, stopped", _stopped(window))
    yield Action("undo", (_menu(window, "undo"),))


def _stopped(window: MainWindow) -> Iterator[Event]:
    yield _menu(window, "fill")
    until = monotonic() + 1.5
    while monotonic() < until:
        yield lambda: sleep(0.005)
    yield _menu(window, "stop")


def _tabs(window: MainWindow, page: str, tabs: QTabWidget) -> Iterator[Action]:
    for index in (*range(1, tabs.count()), 0):
        yield Action(f"{page}: tab {tabs.tabText(index)}", (lambda index=index: tabs.setCurrentIndex(index),))


def _pages(window: MainWindow) -> Iterator[Action]:
    yield Action("page box, after changes", (_page(window, "box"),))
    box = window.page_widget("box")
    assert isinstance(box, BoxPage)
    yield from _tabs(window, "box", box.tabs)
    yield Action("box: another thickness", (_typed(box.form.thickness, "6 mm"),))
    yield Action("page pour, after changes", (_page(window, "pour"),))
    pour = window.page_widget("pour")
    assert isinstance(pour, PourPage)
    yield Action("pour: waste", (_typed(_dial(pour, tr("Waste")), "7 %"),))
    yield Action("pour: temperature", (_typed(_dial(pour, tr("Temperature of A and B")), "24"),))
    yield Action("undo", (_menu(window, "undo"),))
    yield Action("page order, after changes", (_page(window, "order"),))
    order = window.page_widget("order")
    assert isinstance(order, OrderPage)
    yield from _tabs(window, "order", order.tabs)
    for name, text in (("parts", "4000"), ("people", "2"), ("parts", "900")):
        if name in order.form.fields:
            yield Action(f"order: {name}", (_typed(order.form.fields[name], text),))
    yield Action("undo", (_menu(window, "undo"),))
    yield Action("order: look dark", (_menu(window, "look_dark"),))
    yield Action("order: look light", (_menu(window, "look_light"),))
    yield Action("page cavities, after changes", (_page(window, "cavities"),))


def _dial(page: QWidget, name: str) -> AmountField:
    return next(f for f in page.findChildren(AmountField) if f.accessibleName() == name)


def _exports(window: MainWindow, folder: Path) -> Iterator[Action]:
    for what, suffixes in (
        ("panels", (".dxf",)), ("template", (".pdf", ".dxf")), ("report", (".pdf", ".html")),
        ("picture", (".svg", ".png")),
    ):  # fmt: skip
        yield Action(f"export {what}, dialog", (_menu(window, f"export_{what}"), lambda: _on_with_it(window)))
        for suffix in suffixes:
            dialog = next(iter(window.findChildren(ExportDialog)), None)
            if dialog is not None:
                path = folder / f"{what}{suffix}"
                yield Action(f"export {what}, write {suffix}", (lambda dialog=dialog, path=path: dialog.write(path),))
        yield Action(f"export {what}, close", (lambda: _close_dialogs(window),))


def _on_with_it(window: MainWindow) -> None:
    """Accept what is broken, if that is asked first."""
    from app.dialogs.accept import AcceptDialog

    for dialog in window.findChildren(AcceptDialog):
        dialog.accept()


def _close_dialogs(window: MainWindow) -> None:
    for dialog in window.findChildren(QDialog):
        dialog.reject()


def _accept_dialogs(window: MainWindow) -> None:
    for dialog in window.findChildren(QDialog):
        dialog.accept()
