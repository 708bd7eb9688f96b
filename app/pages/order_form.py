"""The left side of the Order page: what is wanted by when, the shop, the molds, the money."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from PySide6.QtWidgets import QComboBox, QFormLayout, QLabel, QLineEdit, QWidget

from app.fields import (
    AmountField,
    bare_number,
    length_field,
    length_field_text,
    number_field,
    plain_number,
    refuse_part,
    typed_length_mm,
    within,
)
from app.pages.order_dates import DateField, DateFields
from app.pages.parts import FormColumn
from app.store import Store
from app.user_catalogue import catalogue
from app.words import said, tr
from layout.batch_log import mold_life_of, yield_of
from layout.errors import LayoutError
from layout.materials import built_in
from layout.model import Mix, Project
from layout.order.kinds import parse_kind_parts, parts_of_kinds
from layout.order.rigid_master import USUAL_RESIN
from layout.regions import inner_size_mm
from layout.units import length_text


def _optional_field(name: str, parse: Callable[[str], float], show: Callable[[float], str]) -> AmountField:
    """Return a field that may be emptied: then it holds 0, which means nothing was typed."""
    field = AmountField(
        name,
        lambda text: parse(text) if text.strip() else 0.0,
        lambda value: show(value) if value else "",
    )
    field.setPlaceholderText(tr("none"))
    return field


def _typed_number(text: str, name: str, most: float, whole: bool) -> float:
    value = bare_number(text, name)
    if whole:
        refuse_part(value, text, name)
    return within(value, text, name, 0.0, most, plain_number)


def _resins() -> tuple[Mix, ...]:
    """The resins that may be chosen; the program's own if the user's catalogue can't be read, which its page tells."""
    try:
        return catalogue().resins
    except LayoutError:
        return built_in().resins


class OrderForm(FormColumn):
    """Shows the order of the project and changes it, one undo step each."""

    def __init__(self, store: Store, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._store = store
        self.fields: dict[str, AmountField] = {}
        self.tray: dict[str, AmountField] = {}
        self._optional: set[str] = set()
        self._make_wanted()
        self._make_shop()
        self._make_molds()
        self._make_round()
        self._make_money()
        self._make_tray()
        self._column.addStretch(1)
        self.show_project(store.project)

    def _add(
        self, form: QFormLayout, name: str, words: str, *, suffix: str = "", least: float = 0.0, most: float = 1e9,
        whole: bool = False, optional: bool = False, tip: str = "",
    ) -> AmountField:  # fmt: skip
        """Add one number of the order; ``optional`` ones may be emptied, which is a 0 or nothing typed."""
        if optional:
            self._optional.add(name)
            field = _optional_field(words, lambda text: _typed_number(text, words, most, whole), plain_number)
        else:
            field = number_field(words, suffix, least, most, whole=whole)
        form.addRow(words, field)
        field.set_tip(tip)
        field.committed.connect(lambda value: self._commit(name, words, value, whole))
        self.fields[name] = field
        return field

    def _commit(self, name: str, words: str, value: float, whole: bool) -> None:
        typed: float | int | None = round(value) if whole else value
        if name in self._optional and not value:
            typed = None
        self.change(tr("Change {what}", what=words.lower()), **{name: typed})

    def change(self, text: str, **changes: Any) -> None:
        """Change the order as one undo step."""
        project = self._store.project
        self._store.apply(text, replace(project, order=replace(project.order, **changes)))

    def _make_wanted(self) -> None:
        form = self._group(tr("Order"))
        self._add(form, "parts", tr("Good parts"), least=1, most=1e6, whole=True)
        self.each = DateField(tr("Of each kind"))
        self.each.typed.connect(self._commit_each)
        form.addRow(tr("Of each kind"), self.each)
        self._add(form, "days", tr("Days until delivery"), most=1e5, whole=True, optional=True,
                  tip=tr("Calendar days, first and last counted."))  # fmt: skip
        self.dates = DateFields(form, lambda: self._store.project.order, self.change)
        self._length(form, "wanted_mm", tr("Size to keep"))
        self._length(form, "wanted_tol_mm", tr("Its tolerance"))

    def _length(self, form: QFormLayout, name: str, words: str) -> None:
        field = _optional_field(
            words,
            lambda text: typed_length_mm(text, words, self._store.project.units, 0.0),
            lambda mm: length_field_text(mm, self._store.project.units),
        )
        self._optional.add(name)
        form.addRow(words, field)
        field.committed.connect(lambda mm: self.change(tr("Change {what}", what=words.lower()), **{name: mm or None}))
        self.fields[name] = field

    def _commit_each(self, text: str) -> None:
        try:
            each = parse_kind_parts(text, self._store.project, tr("Of each kind")) if text else ()
        except LayoutError as error:
            self.each.mark(said(error))
            return
        self.each.mark("")
        parts = sum(n for _, n in each) or self._store.project.order.parts
        self.change(tr("Change the parts of each kind"), parts=parts, kind_parts=each)

    def _show_each(self, project: Project) -> None:
        made = parts_of_kinds(project, project.order.parts)
        words = ", ".join(f"{k.master.name}={n}" for k, n in made) if len(made) > 1 else ""
        self.each.setEnabled(len(made) > 1)
        self.each.setPlaceholderText(words or tr("one kind"))
        tip = tr("Good parts of each master of a mixed box; the scarcest one decides the casts.")
        self.each.set_tip(f"{tip}\n{words}" if words else tip)
        self.each.show_text(words if project.order.kind_parts else "")

    def _make_shop(self) -> None:
        form = self._group(tr("Shop"))
        self._add(form, "crew", tr("People"), least=1, most=1000, whole=True)
        self._add(form, "hours", tr("Hours a day"), suffix=" h", least=0.05, most=24)
        self._add(form, "availability", tr("Share at the molds"), least=0.01, most=1,
                  tip=tr("What is left of a shift goes to fetching, sweeping and the telephone."))  # fmt: skip
        self._add(form, "molds_per_operator", tr("Molds a person tends"), least=1, most=100, whole=True)

    def _make_molds(self) -> None:
        form = self._group(tr("Molds and masters"))
        self._add(form, "mold_life", tr("Casts of one mold"), most=1e6, whole=True, optional=True)
        self._add(form, "casts_per_day", tr("Casts a day, at most"), most=1e4, whole=True, optional=True)
        self._add(form, "masters_in_hand", tr("Masters in hand"), most=1e5, whole=True)
        self._add(form, "spare_masters", tr("Spare masters"), most=1e4, whole=True)
        self._add(form, "single_molds", tr("Single molds at a time"), least=1, most=100, whole=True)
        self._length(form, "max_length_mm", tr("Largest box, length"))
        self._length(form, "max_width_mm", tr("Largest box, width"))
        self.learned = QLabel()
        self.learned.setWordWrap(True)
        self.learned.setProperty("role", "quiet")
        form.addRow(self.learned)

    def _make_round(self) -> None:
        form = self._group(tr("Hands of one cast"))
        self._add(form, "prepare_min", tr("Release, weigh"), suffix=" min", most=1e4)
        self._add(form, "prepare_each_min", tr("Each further batch"), suffix=" min", most=1e4)
        self._add(form, "move_s", tr("From cavity to cavity"), suffix=" s", most=1e4)
        self._add(form, "resin_ml_per_s", tr("Resin runs"), suffix=" mL/s", least=0.01, most=1e4)
        self._add(form, "demold_s", tr("Push a part out"), suffix=" s", most=1e4)
        self._add(form, "trim_s", tr("Trim a part"), suffix=" s", most=1e4)
        self._add(form, "yield_share", tr("Good of those cast"), most=1, optional=True)

    def _make_money(self) -> None:
        form = self._group(tr("Money and hands of the molds"))
        self.currency = QLineEdit()
        self.currency.setAccessibleName(tr("Currency"))
        self.currency.setMaxLength(8)
        self.currency.editingFinished.connect(self._commit_currency)
        form.addRow(tr("Currency"), self.currency)
        self._add(form, "wage_per_hour", tr("An hour costs"), most=1e6)
        self._add(form, "original_min", tr("Original"), suffix=" min", most=1e5)
        self._add(form, "single_mold_min", tr("A single mold"), suffix=" min", most=1e5)
        self._add(form, "box_min", tr("A gang mold"), suffix=" min", most=1e5)
        self._add(form, "box_each_min", tr("and each cavity"), suffix=" min", most=1e5,
                  tip=tr("A master glued in and sealed, where that is not in the minutes of the mold."))  # fmt: skip
        self._add(form, "box_cost", tr("Its box costs"), most=1e6)
        self._add(form, "remold_min", tr("From the rigid master"), suffix=" min", most=1e5)
        self._add(form, "tray_min", tr("The rigid master"), suffix=" min", most=1e5)
        self._add(form, "tray_cost", tr("Its box costs"), most=1e6)

    def _commit_currency(self) -> None:
        typed = self.currency.text().strip()
        if typed and typed != self._store.project.order.currency:
            self.change(tr("Change the currency"), currency=typed)

    def _choose_resin(self) -> None:
        mix: Mix | None = self.tray_resin.currentData()
        self._store.apply(tr("Change the rigid master mold's resin"), replace(self._store.project, tray_resin=mix))

    def _show_resin(self, project: Project) -> None:
        own = project.tray_resin
        names = [self.tray_resin.itemText(k) for k in range(self.tray_resin.count())]
        if own is not None and own.name not in names:
            self.tray_resin.addItem(own.name, own)
            names.append(own.name)
        self.tray_resin.setCurrentIndex(0 if own is None else names.index(own.name))

    def _make_tray(self) -> None:
        form = self._group(tr("Rigid master mold"))
        self.tray_resin = QComboBox()
        self.tray_resin.setAccessibleName(tr("Resin of the rigid master mold"))
        self.tray_resin.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.tray_resin.setMinimumContentsLength(12)
        self.tray_resin.addItem(USUAL_RESIN, None)
        for mix in (m for m in _resins() if m.name != USUAL_RESIN):
            self.tray_resin.addItem(mix.name, mix)
        self.tray_resin.activated.connect(lambda _index: self._choose_resin())
        form.addRow(tr("Resin"), self.tray_resin)
        words = {"gap_mm": tr("Resin all round"), "back_mm": tr("Resin over it"), "freeboard_mm": tr("Pad")}
        for name, label in words.items():
            self.tray[name] = length_field(label, lambda: self._store.project.units, 0.0)
            form.addRow(label, self.tray[name])
        self.tray["draft_deg"] = number_field(tr("Draft"), "°", 0.0, 30.0)
        form.addRow(tr("Draft"), self.tray["draft_deg"])
        for name, field in self.tray.items():
            field.committed.connect(lambda value, name=name: self._change_tray(name, value))

    def _change_tray(self, name: str, value: float) -> None:
        changed: Any = {name: value}
        self.change(tr("Change the rigid master mold"), rigid=replace(self._store.project.order.rigid, **changed))

    def show_project(self, project: Project) -> None:
        """Show the order of a project."""
        for name, field in self.tray.items():
            field.set_value(getattr(project.order.rigid, name))
        self._show_resin(project)
        self.currency.setText(project.order.currency)
        self.dates.show_order(project.order)
        self._show_each(project)
        length, width = inner_size_mm(project.box.shape)
        for name, field in self.fields.items():
            value = getattr(project.order, name)
            if name in self._optional:
                field.set_value(0.0 if value is None else float(value))
            else:
                field.set_value(None if value is None else float(value))
        for name, mm in (("max_length_mm", length), ("max_width_mm", width)):
            field = self.fields[name]
            field.setPlaceholderText(tr("box: {size}", size=length_text(mm, project.units, decimals=0)))
        self.fields["mold_life"].setPlaceholderText(f"{mold_life_of(project).value:.0f}")
        self.fields["yield_share"].setPlaceholderText(f"{yield_of(project).value:.3g}")
        self.learned.setText(f"{said(mold_life_of(project).source)}. {tr('Yield')}: {said(yield_of(project).source)}.")
