"""Which action of the table does what on the Cavities page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMenu

from app.canvas import clipboard
from app.canvas.commands import LayoutCommands, no_room
from app.canvas.hand_note import HandNote
from app.pages.laying.panels import PanelKeys
from app.pages.laying.shelf import MASTER_MIME
from app.words import counted, said, tr
from layout import edits
from layout.errors import LayoutError
from layout.model import MasterId

if TYPE_CHECKING:
    from PySide6.QtCore import QMimeData, QPoint, QUrl
    from PySide6.QtGui import QAction
    from PySide6.QtWidgets import QPushButton

    from app.dialogs.repeat import RepeatRoundDialog, RepeatRowsDialog
    from app.pages.cavities import CavitiesPage
    from app.services import Services

_MENU = (
    "turn_left", "turn_right", "", "duplicate", "repeat_rows", "repeat_round", "", "pin", "unpin", "",
    "select_same", "zoom_selection", "", "cut", "copy", "paste", "delete",
)  # fmt: skip


_SHELF_MENU = ("place_one", "", "only_this", "all_alike", "", "remove_master")


class LayingActions:
    """Connects the table of actions with the page."""

    def __init__(self, page: CavitiesPage, services: Services) -> None:
        self._page, self._services = page, services
        self._desk = page.desk
        self.commands = LayoutCommands(page.desk)
        self._connect_edits()
        self._connect_view()
        self._connect_widgets()
        self.can_paste = False
        # asked once per change: on some systems looking into the clipboard takes a while
        QGuiApplication.clipboard().dataChanged.connect(self._look_into_clipboard)
        self._look_into_clipboard()

    def _connect_edits(self) -> None:
        do, commands = self._services.actions.connect_to, self.commands
        for action, handler in {
            "delete": self._delete, "remove_master": self.remove_master,
            "duplicate": commands.duplicate, "select_all": commands.select_all,
            "select_same": commands.select_same, "select_none": self._desk.selection.clear,
            "turn_left": lambda: commands.turn(90.0), "turn_right": lambda: commands.turn(-90.0),
            "turn_step_left": lambda: commands.turn(15.0), "turn_step_right": lambda: commands.turn(-15.0),
            "line_left": lambda: commands.line_up("left"), "line_right": lambda: commands.line_up("right"),
            "line_bottom": lambda: commands.line_up("bottom"), "line_top": lambda: commands.line_up("top"),
            "line_x": lambda: commands.line_up("middle-x"), "line_y": lambda: commands.line_up("middle-y"),
            "space_x": lambda: commands.space("x"), "space_y": lambda: commands.space("y"),
            "mirror_x": lambda: commands.mirror("x"), "mirror_y": lambda: commands.mirror("y"),
            "pin": lambda: commands.pin(True), "unpin": lambda: commands.pin(False),
            "order_selection": commands.order_selection, "order_serpentine": commands.order_serpentine,
            "cut": self._cut, "copy": self._copy, "paste": self._paste, "fill": self.fill,
            "fill_no_more": self._fill_no_more,
            "stop": self._page.jobs.stop, "place_one": commands.put_one, "add_master": self.add_master,
            "add_file": self._add_file, "repeat_rows": self._repeat_rows, "repeat_round": self._repeat_round,
            "keep_out": self._keep_out, "only_this": self._only_this,
            "all_alike": self._all_alike,
        }.items():  # fmt: skip
            do(action, handler)

    def _connect_view(self) -> None:
        actions, view, page = self._services.actions, self._page.view, self._page
        for action, handler in {
            "zoom_in": view.zoom_in, "zoom_out": view.zoom_out, "zoom_fit": view.zoom_fit,
            "zoom_true": view.zoom_true, "zoom_selection": self._zoom_selection,
        }.items():  # fmt: skip
            actions.connect_to(action, handler)
        actions.connect_to("open_face", lambda: page.show_open_face(actions["open_face"].isChecked()))
        actions.connect_to("section", lambda: page.show_section(actions["section"].isChecked()))
        actions.connect_to("show_grid", lambda: view.set_grid(actions["show_grid"].isChecked()))
        actions.connect_to("snap", self._snap)
        actions.connect_to("pass_through", self._pass_through)
        actions["show_grid"].setChecked(True)
        actions["snap"].setChecked(self._services.settings.snap)
        self._desk.snap = self._services.settings.snap
        self._desk.tool_changed.connect(lambda tool: actions["keep_out"].setChecked(tool == "keep_out"))

    def _connect_widgets(self) -> None:
        page, actions = self._page, self._services.actions
        page.add_button.clicked.connect(actions["add_master"].trigger)
        page.put_button.clicked.connect(actions["place_one"].trigger)
        page.fill_button.clicked.connect(actions["fill"].trigger)
        page.asked.linkActivated.connect(actions["fill_no_more"].trigger)
        for button, action in (
            (page.add_button, "add_master"),
            (page.put_button, "place_one"),
            (page.fill_button, "fill"),
        ):
            button.setToolTip(actions[action].toolTip())
            self._follow(button, actions[action])
        page.shelf.put_asked.connect(actions["place_one"].trigger)
        page.shelf.remove_asked.connect(self.remove_master)
        page.shelf.menu_asked.connect(lambda at: self._pop_up(_SHELF_MENU, at))
        page.view.menu_asked.connect(lambda at: self._pop_up(_MENU, at))
        page.view.dropped.connect(self.drop)
        page.first_steps.asked.connect(self._first_step)
        self._note = HandNote(page.view)
        columns = [column for i in range(3) if (column := page.columns.widget(i)) is not None]
        # of the answers: what is typed if anything is selected, else the table
        self._panels = PanelKeys(page, columns, ([page.shelf], [page.view], [page.inspector.x_field, page.table]))

    def _follow(self, button: QPushButton, action: QAction) -> None:
        """Let a button be possible when its action is."""
        action.enabledChanged.connect(button.setEnabled)
        button.setEnabled(action.isEnabled())

    def _first_step(self, step: str) -> None:
        # the card goes with its buttons, and the keys with them to some panel: they belong to the mold
        self._page.view.setFocus()
        if step == "box":
            self._page.rules.length_field.setFocus()
            self._page.rules.length_field.selectAll()
        else:
            self._services.actions[step].trigger()

    def _pop_up(self, actions: tuple[str, ...], at: QPoint) -> None:
        menu = QMenu(self._page)
        for action in actions:
            if action:
                menu.addAction(self._services.actions[action])
            else:
                menu.addSeparator()
        menu.popup(at)

    def _snap(self) -> None:
        self._desk.snap = self._services.actions["snap"].isChecked()
        self._services.settings.snap = self._desk.snap
        self._page.show_hands()

    def _pass_through(self) -> None:
        self._desk.free = self._services.actions["pass_through"].isChecked()
        held = tr("Moves and turns are held at the wall.")
        self._services.tell(tr("Moves and turns pass through walls until F4 again.") if self._desk.free else held)
        self._services.state_changed()
        self._page.show_hands()

    def _keep_out(self) -> None:
        self._desk.set_tool("keep_out" if self._services.actions["keep_out"].isChecked() else "")
        if self._desk.tool:
            self._services.tell(tr("Drag a rectangle on the mold; Shift makes it round, Enter puts one in the middle."))
            self._page.view.setFocus()

    def _zoom_selection(self) -> None:
        bounds = self._desk.bounds_of(self._desk.selection.cavities)
        if bounds:
            self._page.view.zoom_to(*bounds)

    def _delete(self) -> None:
        """Remove what is selected where the keys go: a master on the shelf, else cavities and keep-outs."""
        if self._page.shelf.hasFocus():
            self.remove_master()
        else:
            self.commands.delete()

    # masters

    def add_master(self) -> None:
        """Ask for a master and put it on the shelf."""
        from app.dialogs.add_master import AddMaster

        dialog = AddMaster(self._desk, self._services.settings, self._page)
        dialog.open()

    def _add_file(self) -> None:
        from app.dialogs.add_file import ask_file

        ask_file(self._page, self._desk, self._services.settings)

    def remove_master(self) -> None:
        """Take the chosen master and its cavities away; undo brings both back."""
        master = self._desk.master
        if master is None:
            return
        name = self._desk.project.master(master).name
        gone = sum(c.master == master for c in self._desk.project.cavities)
        if self._desk.do(tr("Take a master off the shelf"), lambda p: edits.remove_master(p, master)):
            tell = self._services.tell
            if gone:
                one, many = "{name} and its cavity are taken away.", "{name} and its {n} cavities are taken away."
                tell(counted(gone, one, many, name=name))
            else:
                tell(tr("{name} is off the shelf.", name=name))

    def _only_this(self) -> None:
        from layout.fill.asked import only

        chosen = self._desk.master
        if chosen is not None:
            self._desk.do(tr("Fill with one master only"), lambda p: only(p, p.master(chosen)))

    def _all_alike(self) -> None:
        from layout.fill.asked import all_alike

        self._desk.do(tr("Fill with every master alike"), all_alike)

    def drop(self, data: QMimeData, x_mm: float, y_mm: float) -> None:
        """Take what was dropped on the canvas: a master from the shelf, files, copied cavities."""
        if self._desk.locked:
            return
        if data.hasFormat(MASTER_MIME):
            self._desk.choose_master(MasterId(bytes(data.data(MASTER_MIME).data()).decode()))
            self.commands.put_one((x_mm, y_mm))
            self._page.view.setFocus()
        elif data.hasUrls():
            self.drop_files(data.urls())

    def drop_files(self, urls: list[QUrl]) -> None:
        """Add each file as a master."""
        from app.dialogs.add_file import add_file

        for url in urls:
            if url.isLocalFile() and not url.toLocalFile().endswith(".manymold"):
                add_file(self._page, self._desk, url.toLocalFile())

    # clipboard

    def _copy(self) -> None:
        # as text: a QMimeData made here that outlives the program's end brings Qt 6.11 down (seen in tests)
        QGuiApplication.clipboard().setText(clipboard.to_text(self._desk.project, self._desk.selection.cavities))
        number = len(self._desk.selection.cavities)
        self._services.tell(counted(number, "Copied {n} cavity.", "Copied {n} cavities."))

    def _look_into_clipboard(self) -> None:
        self.can_paste = clipboard.is_cavities(QGuiApplication.clipboard().text()[:40])
        self._services.state_changed()

    def close(self) -> None:
        """Listen to the clipboard no more."""
        QGuiApplication.clipboard().dataChanged.disconnect(self._look_into_clipboard)

    def _cut(self) -> None:
        self._copy()
        self.commands.delete()

    def _paste(self) -> None:
        self.paste_text(QGuiApplication.clipboard().text())

    def paste_text(self, text: str) -> None:
        """Put copied cavities at the nearest legal place and select them."""
        from layout.arrange import nearest_place

        desk = self._desk
        try:
            after, new = clipboard.from_text(desk.project, text)
            shift = nearest_place(after, new)
            if shift is None:
                raise no_room(new)
            after = edits.move_cavities(after, new, *shift)
        except LayoutError as error:
            self._services.tell(said(error))
            return
        self.commands.add(counted(len(new), "Paste cavity", "Paste {n} cavities"), after, new)

    # larger things

    def _fill_no_more(self) -> None:
        from layout.fill.asked import asks_for_numbers

        if asks_for_numbers(self._desk.project):
            self.fill(no_more=True)
        else:
            self._services.tell(tr("Type under How many what is wanted of each master, then fill with no more."))

    def fill(self, _checked: bool = False, *, no_more: bool = False) -> None:
        """Fill the box in the background: the wanted numbers first, then filled up, or with no more than they."""
        seconds = self._page.seconds.value or 20.0
        self._services.settings.fill_seconds = seconds
        self._services.status.job.set_limit(seconds)
        self._page.fill_job.start(seconds, no_more)

    def _repeat_rows(self) -> None:
        from app.dialogs.repeat import RepeatRowsDialog

        self._repeat(RepeatRowsDialog(self._desk.project, self._desk.selection.cavities, self._page))

    def _repeat_round(self) -> None:
        from app.dialogs.repeat import RepeatRoundDialog

        self._repeat(RepeatRoundDialog(self._desk.project, self._desk.selection.cavities, self._page))

    def _repeat(self, dialog: RepeatRowsDialog | RepeatRoundDialog) -> None:
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)

        def accepted() -> None:
            if self._desk.project is dialog.before:
                self.commands.add(dialog.undo_text, dialog.after, dialog.new_ids)
                self._desk.selection.set((*dialog.ids, *dialog.new_ids))

        dialog.accepted.connect(accepted)
        dialog.open()
