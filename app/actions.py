"""One table of everything the window can do: id, menu, text, keys, when it is possible. Others connect who does it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Qt
from PySide6.QtGui import QAction, QKeySequence

from app.words import tr

if TYPE_CHECKING:
    from collections.abc import Iterator

Key = QKeySequence.StandardKey


@dataclass(frozen=True, slots=True)
class State:
    """What decides whether an action is possible now."""

    cavities: int = 0
    masters: int = 0
    selected: int = 0
    keep_outs_selected: int = 0
    busy: bool = False
    on_canvas: bool = True
    can_zoom_in: bool = True
    can_zoom_out: bool = True
    clipboard: bool = False


When = Callable[[State], bool]


def always(_state: State) -> bool:
    return True


def editable(state: State) -> bool:
    return not state.busy


def on_canvas(state: State) -> bool:
    return state.on_canvas


def editing(state: State) -> bool:
    return state.on_canvas and not state.busy


def any_cavity(state: State) -> bool:
    return editing(state) and state.cavities > 0


def any_master(state: State) -> bool:
    return editing(state) and state.masters > 0


def many_masters(state: State) -> bool:
    return editing(state) and state.masters > 1


def selected(state: State) -> bool:
    return editing(state) and state.selected > 0


def selected_any(state: State) -> bool:
    return editing(state) and state.selected + state.keep_outs_selected > 0


def selected_two(state: State) -> bool:
    return editing(state) and state.selected > 1


def selected_three(state: State) -> bool:
    return editing(state) and state.selected > 2


def has_cavity(state: State) -> bool:
    return not state.busy and state.cavities > 0


def pasteable(state: State) -> bool:
    return editing(state) and state.clipboard


def running(state: State) -> bool:
    return state.busy


@dataclass(frozen=True, slots=True)
class Spec:
    """One line of the table; ``menu`` is a path such as ``View/Look``; an ``&`` marks the mnemonic."""

    id: str
    menu: str
    text: str
    tip: str
    keys: tuple[Key | str, ...] = ()
    when: When = always
    checkable: bool = False
    group: str = ""


SEPARATOR: Final = Spec("-", "", "", "")


def _menu(menu: str, *specs: Spec) -> tuple[Spec, ...]:
    return tuple(Spec("-", menu, "", "") if s is SEPARATOR else s for s in specs)


TABLE: Final[tuple[Spec, ...]] = (
    *_menu(
        "&File",
        Spec("new", "&File", "&New project", "Start with an empty box", (Key.New,), editable),
        Spec("open", "&File", "&Open…", "Open a project from a file", (Key.Open,), editable),
        Spec("recent", "&File", "Open &recent", "Projects used lately", (), editable),
        SEPARATOR,
        Spec("save", "&File", "&Save", "Write the project to its file", (Key.Save,), editable),
        Spec("save_as", "&File", "Save &as…", "Write the project to another file", (Key.SaveAs,), editable),
        SEPARATOR,
        Spec("export_panels", "&File", "Cut the &panels…", "Write the drawing of the box's panels", (), has_cavity),
        Spec("export_template", "&File", "Placement &template…", "Write the full-size template", (), has_cavity),
        Spec("export_report", "&File", "Pour s&heet…", "Write the sheet for the bench", (), has_cavity),
        Spec("export_picture", "&File", "Pi&cture of the layout…", "Write the layout as a picture", (), has_cavity),
        Spec("print", "&File", "Pr&int template…", "See the template and print it full size", (Key.Print,),
             has_cavity),
        SEPARATOR,
        Spec("close", "&File", "Close &window", "Close this window", (Key.Close,)),
        Spec("quit", "&File", "&Quit", "End the program", (Key.Quit,)),
    ),
    *_menu(
        "&Edit",
        Spec("undo", "&Edit", "&Undo", "Take back the last step", (Key.Undo,), editable),
        Spec("redo", "&Edit", "&Redo", "Do again what was taken back", (Key.Redo,), editable),
        SEPARATOR,
        Spec("cut", "&Edit", "Cu&t", "Copy the selected cavities and remove them", (Key.Cut,), selected),
        Spec("copy", "&Edit", "&Copy", "Copy the selected cavities", (Key.Copy,), selected),
        Spec("paste", "&Edit", "&Paste", "Put copied cavities where they fit", (Key.Paste,), pasteable),
        Spec("duplicate", "&Edit", "&Duplicate", "Put a copy beside the selection", ("Ctrl+D",), selected),
        Spec("delete", "&Edit", "De&lete", "Remove what is selected", (Key.Delete,), selected_any),
        SEPARATOR,
        Spec("select_all", "&Edit", "Select &all", "Select every cavity", (Key.SelectAll,), any_cavity),
        Spec("select_same", "&Edit", "Select the &same masters", "Select all copies of the selected masters",
             ("Ctrl+Shift+M",), selected),
        Spec("select_none", "&Edit", "Select n&one", "Select nothing", (Key.Deselect,), selected_any),
        SEPARATOR,
        Spec("find_action", "&Edit", "&Find an action…", "Type what you want to do", (Key.Find,)),
    ),
    *_menu(
        "&Layout",
        Spec("add_master", "&Layout", "Add a &master…", "Add a simple solid or a drawing to the shelf",
             ("Ctrl+M",), editable),
        Spec("add_file", "&Layout", "Add a master from a fil&e…", "Read an outline or a solid from a file", (),
             editable),
        Spec("place_one", "&Layout", "&Put one in the box", "Put one copy of the chosen master where it fits",
             ("Ctrl+Return",), any_master),
        Spec("only_this", "&Layout/S&helf", "Fill with this master &only", "Leave all other masters of the shelf out "
             "of fills", (), many_masters),
        Spec("all_alike", "&Layout/S&helf", "Fill with &every master alike", "Leave no master out, and forget the "
             "wanted numbers", (), many_masters),
        Spec("remove_master", "&Layout/S&helf", "&Take off the shelf", "Remove the chosen master and its cavities "
             "(Del on the shelf)", (), any_master),
        SEPARATOR,
        Spec("fill", "&Layout", "&Fill the box", "Find the most cavities that fit", ("F5",), any_master),
        Spec("fill_no_more", "&Layout", "Fill &with no more than is wanted", "End when the wanted numbers are in the "
             "box; leave the rest free", (), any_master),
        Spec("stop", "&Layout", "&Stop and keep the best", "End the search; the best layout stays",
             ("Ctrl+.",), running),
        SEPARATOR,
        Spec("turn_left", "&Layout/&Turn", "A quarter to the &left", "Turn each by 90° anticlockwise",
             ("Ctrl+L",), selected),
        Spec("turn_right", "&Layout/&Turn", "A quarter to the &right", "Turn each by 90° clockwise",
             ("Ctrl+R",), selected),
        Spec("turn_step_left", "&Layout/&Turn", "15° l&eft", "Turn each by 15° anticlockwise",
             ("Ctrl+Shift+L",), selected),
        Spec("turn_step_right", "&Layout/&Turn", "15° r&ight", "Turn each by 15° clockwise",
             ("Ctrl+Shift+R",), selected),
        Spec("repeat_rows", "&Layout/&Repeat", "In &rows and columns…", "Repeat the selection at the least wall",
             ("Ctrl+E",), selected),
        Spec("repeat_round", "&Layout/&Repeat", "Round a &centre…", "Repeat the selection on a circle",
             ("Ctrl+Shift+E",), selected),
        Spec("line_left", "&Layout/&Line up", "&Left edges", "Line up the left edges", (), selected_two),
        Spec("line_right", "&Layout/&Line up", "&Right edges", "Line up the right edges", (), selected_two),
        Spec("line_bottom", "&Layout/&Line up", "&Near edges", "Line up the edges nearest to you", (), selected_two),
        Spec("line_top", "&Layout/&Line up", "&Far edges", "Line up the edges farthest from you", (), selected_two),
        Spec("line_x", "&Layout/&Line up", "Centres in a &column", "Line up the centres one behind another", (),
             selected_two),
        Spec("line_y", "&Layout/&Line up", "Centres in a ro&w", "Line up the centres side by side", (), selected_two),
        Spec("space_x", "&Layout/Sp&ace evenly", "&Side by side", "Make the gaps from left to right equal", (),
             selected_three),
        Spec("space_y", "&Layout/Sp&ace evenly", "&One behind another", "Make the gaps from front to back equal", (),
             selected_three),
        Spec("mirror_x", "&Layout/M&irror the places", "&Left and right", "Exchange left and right", (), selected),
        Spec("mirror_y", "&Layout/M&irror the places", "&Front and back", "Exchange front and back", (), selected),
        SEPARATOR,
        Spec("pin", "&Layout", "Pi&n", "Keep the selection where it is when the box is filled",
             ("Ctrl+K",), selected),
        Spec("unpin", "&Layout", "&Unpin", "Let a fill move the selection", ("Ctrl+Shift+K",), selected),
        Spec("keep_out", "&Layout", "Draw a &keep-out", "Drag a rectangle that no cavity may enter", ("Ctrl+B",),
             editing, True),
        Spec("order_selection", "&Layout/Pouring &order", "As &selected", "Number the selection first, in the order it "
             "was selected", (), selected),
        Spec("order_serpentine", "&Layout/Pouring &order", "To and &fro by rows", "Number row by row, every second row "
             "backwards", (), any_cavity),
    ),
    *_menu(
        "&View",
        Spec("zoom_in", "&View", "Zoom &in", "Show it larger", (Key.ZoomIn, "Ctrl+="),
             lambda s: s.on_canvas and s.can_zoom_in),
        Spec("zoom_out", "&View", "Zoom &out", "Show it smaller", (Key.ZoomOut,),
             lambda s: s.on_canvas and s.can_zoom_out),
        Spec("zoom_fit", "&View", "&Whole box", "Show the whole box", ("Ctrl+0",), on_canvas),
        Spec("zoom_selection", "&View", "Zoom to the sele&ction", "Show what is selected as large as it fits",
             ("Ctrl+Shift+0",), lambda s: s.on_canvas and s.selected > 0),
        Spec("zoom_true", "&View", "&True size", "Show it as large as it is, if the screen tells its size",
             ("Ctrl+1",), on_canvas),
        SEPARATOR,
        Spec("open_face", "&View", "From the open &face (mirror image)", "Show the finished mold from its open face",
             ("F6",), on_canvas, True),
        Spec("section", "&View", "&Section", "Show the mold cut along a line you can drag", ("F7",), on_canvas, True),
        Spec("show_grid", "&View", "&Grid", "Show a grid in your unit", ("F8",), on_canvas, True),
        Spec("snap", "&View", "S&nap to the grid", "Dragged cavities stop at grid lines; hold Ctrl to pass",
             ("F9",), on_canvas, True),
        Spec("pass_through", "&View", "&Pass through walls", "Let moves and turns go on where the wall gets too thin",
             ("F4",), on_canvas, True),
        SEPARATOR,
        Spec("units_mm", "&View/&Units", "&Millimetres", "Show lengths in mm", (), editable, True, "units"),
        Spec("units_in", "&View/&Units", "&Inches", "Show lengths in inches and fractions", (), editable, True,
             "units"),
        Spec("look_system", "&View/&Look", "As the s&ystem", "Follow the system's light or dark", (), always, True,
             "look"),
        Spec("look_light", "&View/&Look", "&Light", "Dark on light", (), always, True, "look"),
        Spec("look_dark", "&View/&Look", "&Dark", "Light on dark", (), always, True, "look"),
        Spec("page_cavities", "&View/P&age", "&Cavities", "Open the page where cavities are laid out"),
        Spec("page_box", "&View/P&age", "&Box", "Open the page that cuts the box"),
        Spec("page_pour", "&View/P&age", "&Pour", "Open the page that mixes silicone and resin"),
        Spec("page_order", "&View/P&age", "&Order", "Open the page that plans the order, with its exports"),
        Spec("full_screen", "&View", "Full scr&een", "Use the whole screen", (Key.FullScreen, "F11"), always, True),
        Spec("reset_window", "&View", "&Reset the window", "Forget sizes, places and choices of this window"),
    ),
    *_menu(
        "&Help",
        Spec("help", "&Help", "&First steps", "What to do first, and how to drag", (Key.HelpContents,)),
        Spec("demo", "&Help", "Look at an &example", "Open an example project in this window", (), editable),
        Spec("keys", "&Help", "&Keys", "List every key"),
        Spec("about", "&Help", "&About Manymold", "Versions of the program and its parts"),
    ),
)  # fmt: skip


def _shortcuts(spec: Spec) -> list[QKeySequence]:
    """Return the keys of an action: the system's own for it, but for those that another action names outright.

    On X11 the system's own for "delete" is Ctrl+D as well; a key of two actions would do neither.
    """
    keys: list[QKeySequence] = []
    for key in spec.keys:
        keys += [k for k in keys_of(key) if k not in _named()] if isinstance(key, Key) else [QKeySequence(key)]
    return list(dict.fromkeys(keys))


@cache
def _named() -> frozenset[QKeySequence]:
    return frozenset(QKeySequence(k) for spec in TABLE for k in spec.keys if isinstance(k, str))


def keys_of(key: Key) -> list[QKeySequence]:
    """Return what the system binds to a standard key."""
    return QKeySequence.keyBindings(key)


class Actions(QObject):
    """The table as QActions.

    An action whose handler is missing would be a dead menu entry: `connect` is called for each, and a test says so.
    """

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._by_id: dict[str, QAction] = {}
        self._specs = {spec.id: spec for spec in TABLE if spec.id != "-"}
        self.connected: set[str] = set()
        for spec in self._specs.values():
            self._by_id[spec.id] = self._make(spec)

    def _make(self, spec: Spec) -> QAction:
        action = QAction(self)
        action.setText(tr(spec.text))
        action.setObjectName(spec.id)
        action.setShortcuts(_shortcuts(spec))
        tip = tr(spec.tip)
        keys = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
        action.setToolTip(f"{tip} ({keys})" if keys else tip)
        action.setStatusTip(tip)
        action.setCheckable(spec.checkable)
        action.setShortcutContext(Qt.ShortcutContext.WindowShortcut)
        return action

    def __getitem__(self, action_id: str) -> QAction:
        return self._by_id[action_id]

    def __iter__(self) -> Iterator[tuple[Spec, QAction]]:
        for action_id, action in self._by_id.items():
            yield self._specs[action_id], action

    def connect_to(self, action_id: str, handler: Callable[[], object]) -> None:
        """Let an action do something."""
        self._by_id[action_id].triggered.connect(lambda _checked=False: handler())
        self.connected.add(action_id)

    def update_enabled(self, state: State) -> None:
        """Enable what is possible now."""
        for action_id, action in self._by_id.items():
            action.setEnabled(self._specs[action_id].when(state))
