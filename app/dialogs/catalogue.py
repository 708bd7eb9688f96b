"""The catalogue: each material's data sheet, where its numbers come from, the lot in hand and what is on the shelf."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app import user_catalogue
from app.fields import TypedField
from app.notes import AlarmLabel
from app.words import said, short, tr
from layout.errors import LayoutError
from layout.materials import Catalogue, Kind, built_in, checked, field_texts, origin_of, read_field, same_name
from layout.model import Mix

ROWS: Final[tuple[tuple[str, str, str], ...]] = (
    ("name", "Name", "what you call it"),
    ("ratio", "A : B", "1:1v by volume, 100:107w by weight"),
    ("a", "A, g/mL", "1.10 or 25in3/lb"),
    ("b", "B, g/mL", "1.18 or 23.5in3/lb"),
    ("pot", "Pot life", "7@75F"),
    ("measured", "Pot life measured", "6.5@28C: one test cup beats any table"),
    ("demold", "Demold", "60min, 16h"),
    ("mix", "Mixing takes", "2min"),
    ("cp", "Viscosity, cP", "2500 or 2.5Pa.s"),
    ("shore", "Shore A", "20A"),
    ("tear", "Tear, N/mm", "13 or 75pli"),
    ("shrink", "Shrink", "0.001 or 0.1%"),
    ("life", "Casts of a mold", "40"),
    ("exponent", "Mass exponent", "0.2"),
    ("price", "Price per kg", "36 or 16/lb"),
    ("kit", "Kit", "450+450g or 1+1lb"),
    ("left", "On the shelf", "72.9+45.5g"),
    ("lot", "Lot", "as on the label"),
    ("opened", "Opened", "2026-03-31"),
    ("keeps", "Keeps, days", "180"),
    ("note", "Note", "what you want to remember"),
)
"""Key of `read_field`, its name, how it may be typed."""

_SILICONE_ONLY: Final = {"shore", "tear"}
_RESIN_ONLY: Final = {"life", "exponent"}
_CURES: Final = {"silicone": ("platinum", "tin"), "resin": ("urethane", "epoxy", "polyester")}
_WITHOUT_ORIGIN: Final = {"name", "left", "lot", "opened", "note"}


class CatalogueDialog(QDialog):
    """Shows the materials of a kind; ``mix`` is the one to use in the project, None if none was chosen."""

    def __init__(self, kind: Kind, current: Mix, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._kind: Kind = kind
        self._own = user_catalogue.EMPTY
        self._shown = self._current = current
        self.mix: Mix | None = None
        self._warned = False
        self.setWindowTitle(tr("Silicones") if kind == "silicone" else tr("Resins"))
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Materials"))
        self.fields: dict[str, TypedField] = {}
        self._origins: dict[str, QLabel] = {}
        self.problem = AlarmLabel()
        self._build()
        self._load()
        self._fill_list(current)
        self._show(current)

    # building

    def _build(self) -> None:
        whole = QWidget()
        form = QFormLayout(whole)
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.ExpandingFieldsGrow)
        hidden = _RESIN_ONLY if self._kind == "silicone" else _SILICONE_ONLY
        for key, words, hint in (r for r in ROWS if r[0] not in hidden):
            self._add_row(form, key, tr(words), tr(hint))
        self.cure = QComboBox()
        self.cure.addItems([tr(cure) for cure in _CURES[self._kind]])
        self.cure.setAccessibleName(tr("Cure"))
        form.addRow(tr("Cure"), self.cure)
        self.origin = QComboBox()
        self.origin.addItem(tr("data sheet"), "data sheet")
        self.origin.addItem(tr("measured"), "measured")
        self.origin.setAccessibleName(tr("What I type comes from"))
        form.addRow(tr("What I type is from"), self.origin)
        scroll = QScrollArea()
        scroll.setWidget(whole)
        scroll.setWidgetResizable(True)
        self._arrange(scroll)
        self.resize(820, 640)

    def _add_row(self, form: QFormLayout, key: str, words: str, hint: str) -> None:
        field = TypedField(words)
        field.setPlaceholderText(hint)
        field.set_tip(hint)
        field.editingFinished.connect(lambda: self._check(key))
        field.setMinimumHeight(field.sizeHint().height())
        origin = QLabel()
        origin.setProperty("role", "quiet")
        # one width for all, so that the fields end in one line
        origin.setFixedWidth(self.fontMetrics().horizontalAdvance(tr("data sheet")) + 12)
        row = QHBoxLayout()
        row.addWidget(field, 1)
        row.addWidget(origin)
        label = QLabel(words)
        label.setBuddy(field)
        form.addRow(label, row)
        self.fields[key], self._origins[key] = field, origin

    def _arrange(self, scroll: QScrollArea) -> None:
        side = QVBoxLayout()
        side.addWidget(self.list, 1)
        self.copy = QPushButton(tr("New from this one"))
        self.remove = QPushButton(tr("Remove my version"))
        side.addWidget(self.copy)
        side.addWidget(self.remove)
        middle = QHBoxLayout()
        middle.addLayout(side, 1)
        middle.addWidget(scroll, 2)
        self.buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        self.keep = self.buttons.addButton(tr("Keep in my catalogue"), QDialogButtonBox.ButtonRole.ApplyRole)
        self.use = self.buttons.addButton(tr("Use in this project"), QDialogButtonBox.ButtonRole.AcceptRole)
        self.use.setProperty("main", True)
        note = QLabel(tr("The data sheet of the lot in hand wins over every number here."))
        note.setProperty("role", "quiet")
        column = QVBoxLayout(self)
        column.addLayout(middle, 1)
        column.addWidget(note)
        column.addWidget(self.problem)
        column.addWidget(self.buttons)
        self.list.currentItemChanged.connect(lambda now, _before: self._chosen(now))
        self.copy.clicked.connect(self._new)
        self.remove.clicked.connect(self._remove)
        self.keep.clicked.connect(lambda: self._keep())
        self.buttons.accepted.connect(self._use)
        self.buttons.rejected.connect(self._close)

    # showing

    def _load(self) -> None:
        try:
            self._own = user_catalogue.users_own()
        except LayoutError as error:
            self.problem.setText(said(error))
            self.keep.setEnabled(False)

    def _all(self) -> Catalogue:
        return built_in().merged(self._own)

    def _is_own(self, mix: Mix) -> bool:
        return any(same_name(m.name, mix.name) for m in self._own.mixes(self._kind))

    def _fill_list(self, chosen: Mix) -> None:
        self.list.blockSignals(True)
        self.list.clear()
        known = self._all().mixes(self._kind)
        rows = [(tr("{name} (mine)", name=m.name) if self._is_own(m) else m.name, m) for m in known]
        if self._current not in known:
            rows.insert(0, (tr("{name} (this project's)", name=self._current.name), self._current))
        for words, mix in rows:
            item = QListWidgetItem(words)
            item.setData(Qt.ItemDataRole.UserRole, mix)
            self.list.addItem(item)
            if mix == chosen:
                self.list.setCurrentItem(item)
        self.list.blockSignals(False)

    def _chosen(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self._show(item.data(Qt.ItemDataRole.UserRole))

    def _show(self, mix: Mix) -> None:
        self._shown = mix
        self._warned = False
        texts = field_texts(mix)
        for key, field in self.fields.items():
            field.setText(texts[key])
            field.mark("")
            origin = "" if key in _WITHOUT_ORIGIN or not texts[key] else tr(_origin(mix, key, texts[key]))
            self._origins[key].setText(origin)
        cures = _CURES[self._kind]
        self.cure.setCurrentIndex(cures.index(mix.cure) if mix.cure in cures else 0)
        self.remove.setEnabled(self._is_own(mix))
        self.problem.setText("")

    # reading

    def _check(self, key: str) -> bool:
        """Return whether a field can be read; what is wrong with it is said under it."""
        field = self.fields[key]
        problem = ""
        if field.text() != field_texts(self._shown)[key]:
            try:
                read_field(key, field.text(), field.accessibleName())
            except LayoutError as error:
                problem = short(error)
        field.mark(problem[:1].upper() + problem[1:])
        return not problem

    def typed(self) -> Mix | None:
        """Return the material as the fields say; None if one can't be read, which is then marked."""
        before = field_texts(self._shown)
        values: dict[str, Any] = {"cure": _CURES[self._kind][max(self.cure.currentIndex(), 0)]}
        origins = dict(self._shown.origins)
        wrong = [field for key, field in self.fields.items() if not self._check(key)]
        if wrong:
            wrong[0].setFocus()
            return None
        for key, field in self.fields.items():
            if field.text() == before[key]:
                continue
            found = read_field(key, field.text(), field.accessibleName())
            values.update(found)
            if key not in _WITHOUT_ORIGIN:
                origins.update(dict.fromkeys(found, str(self.origin.currentData())))
        try:
            mix = checked(replace(self._shown, **values, origins=tuple(origins.items())), self.windowTitle())
        except LayoutError as error:
            self.problem.setText(said(error))
            return None
        self.problem.setText("")
        return mix

    # changing

    def _new(self) -> None:
        copy = replace(self._shown, name=tr("{name}, mine", name=self._shown.name), lot="", opened="")
        self._show(copy)
        self.fields["name"].setFocus()
        self.fields["name"].selectAll()

    def _keep(self) -> bool:
        mix = self.typed()
        if mix is None:
            return False
        own = self._own.with_mix(mix, self._kind)
        try:
            user_catalogue.save(own)
        except LayoutError as error:
            self.problem.setText(said(error))
            return False
        self._own = own
        self._fill_list(mix)
        self._show(mix)
        return True

    def _remove(self) -> None:
        own = self._own.without_mix(self._shown.name, self._kind)
        try:
            user_catalogue.save(own)
        except LayoutError as error:
            self.problem.setText(said(error))
            return
        self._own = own
        back = next((m for m in self._all().mixes(self._kind) if same_name(m.name, self._shown.name)), None)
        shown = back or self._all().mixes(self._kind)[0]
        self._fill_list(shown)
        self._show(shown)

    def _is_changed(self) -> bool:
        """Whether something was typed that is neither kept nor used."""
        before = field_texts(self._shown)
        return any(field.text() != before[key] for key, field in self.fields.items())

    def _close(self) -> None:
        """Close; where something typed would be lost, say so first and close at the second press."""
        if self._is_changed() and not self._warned:
            self._warned = True
            self.problem.setText(tr("What you typed is not kept yet: keep it, use it, or press Close once more."))
            return
        self.reject()

    def _use(self) -> None:
        mix = self.typed()
        if mix is not None:
            self.mix = mix
            self.accept()


def _origin(mix: Mix, key: str, text: str) -> str:
    """Where the value of a key comes from."""
    fields = read_field(key, text, key)
    found = {origin_of(mix, name) for name in fields}
    return next((o for o in ("assumed", "measured", "data sheet") if o in found), "typical")
