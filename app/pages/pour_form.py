"""The left side of the Pour page: materials, what if, the bench, resin and extras; each change is one undo step."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QPushButton,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from app.fields import AmountField, TypedField, length_field, length_field_text, plain_number, typed_length_mm, within
from app.notes import AlarmLabel
from app.pages.parts import FormColumn
from app.pages.pour_masters import MastersGroup
from app.pages.pour_rows import altitude_text, bench_rows, extra_rows, hint, typed_altitude_m, typed_number
from app.store import Store
from app.temperatures import temperature_field_text, typed_temperature_c
from app.user_catalogue import catalogue
from app.user_factors import factors
from app.words import said, short, tr
from layout import edits
from layout.errors import BadValueError, LayoutError
from layout.materials import Catalogue, Kind, built_in, same_name
from layout.model import Mix, Project, SmallMold
from layout.pour.learned import learned_correction
from layout.pour.logbook import box_kind
from layout.pour.settings import BOUNDS, with_settings
from layout.units import Units, parse_mass_g, parse_volume_ml

_Parse = Callable[[str], float]


class Dial(QWidget):
    """An amount to type, with a slider under it for what if.

    Signals
    -------
    moved(float)
        Another amount, typed or slid.
    """

    moved = Signal(float)

    def __init__(self, field: AmountField, least: float, most: float, step: float) -> None:
        super().__init__()
        self.field = field
        self._least, self._step = least, step
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(0, round((most - least) / step))
        self.slider.setAccessibleName(field.accessibleName())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(field)
        column.addWidget(self.slider)
        field.committed.connect(self.moved)
        self.slider.valueChanged.connect(self._slid)

    def set_value(self, value: float) -> None:
        """Show an amount; the slider stands at the nearest it can."""
        self.field.set_value(value)
        self.slider.blockSignals(True)
        self.slider.setValue(round((value - self._least) / self._step))
        self.slider.blockSignals(False)

    def _slid(self, ticks: int) -> None:
        self.moved.emit(self._least + ticks * self._step)


def _optional(parse: _Parse) -> _Parse:
    """An empty field is NaN: not known."""
    return lambda text: parse(text) if text.strip() else math.nan


def _shown(show: Callable[[float], str]) -> Callable[[float], str]:
    return lambda value: "" if math.isnan(value) else show(value)


def _clean(text: str) -> str:
    return text.strip().replace(",", ".").replace("−", "-").replace("°", "").replace(" ", "")


class PourForm(FormColumn):
    """Shows the materials and pour settings of the project and changes them.

    Signals
    -------
    catalogue_asked(str)
        The user wants to see the catalogue of ``"silicone"`` or ``"resin"``.
    """

    catalogue_asked = Signal(str)
    growth = QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow

    def __init__(self, store: Store, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._store = store
        self._fields: dict[str, AmountField | Dial] = {}
        self._shown_units = store.project.units
        self.silicone, self.resin = self._combo(tr("Silicone"), "silicone"), self._combo(tr("Resin"), "resin")
        self.problem = AlarmLabel()
        self.problem.hide()
        self._column.addWidget(self.problem)
        self._materials_group()
        self._what_if_group()
        self._bench_group()
        self._extras_group()
        self.masters = MastersGroup(store, self.growth)
        self._column.addWidget(self.masters)
        self._column.addStretch(1)

    # building

    def _combo(self, name: str, kind: Kind) -> QComboBox:
        combo = QComboBox()
        combo.setAccessibleName(name)
        combo.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        combo.setMinimumContentsLength(14)
        combo.activated.connect(lambda index: self._choose(kind, combo.itemData(index)))
        return combo

    def _materials_group(self) -> None:
        form = self._group(tr("Materials"))
        kinds: tuple[tuple[str, QComboBox, Kind], ...] = (
            (tr("Silicone"), self.silicone, "silicone"),
            (tr("Resin"), self.resin, "resin"),
        )
        for words, combo, kind in kinds:
            row = QHBoxLayout()
            row.addWidget(combo, 1)
            button = QPushButton(tr("Data…"))
            button.setAccessibleName(tr("Data sheet of the {kind}", kind=words.lower()))
            button.setToolTip(tr("See and change the data sheet's numbers, the lot and what is on the shelf"))
            button.clicked.connect(lambda _checked=False, kind=kind: self.catalogue_asked.emit(kind))
            row.addWidget(button)
            form.addRow(words, row)

    def _what_if_group(self) -> None:
        form = self._group(tr("What if"))
        temperature = AmountField(tr("Temperature of A and B"), self._parse_temperature, self._temperature_text)
        self._dial(form, tr("A and B at"), "temperature_c", Dial(temperature, 10.0, 38.0, 0.5))
        floor = length_field(tr("Floor"), lambda: self._store.project.units, 0.0)
        self._floor = Dial(floor, 3.0, 25.0, 0.25)
        self._floor.moved.connect(self._set_floor)
        form.addRow(tr("Floor"), self._floor)
        self._dial(form, tr("Waste"), "waste_pct", Dial(self._number("waste_pct", tr("Waste"), " %"), 0.0, 20.0, 0.5))
        self.degas = QCheckBox(tr("Degas under vacuum"))
        self.degas.toggled.connect(lambda on: self._set("degas", on, tr("Degas")))
        form.addRow("", self.degas)
        self.hands = QCheckBox(tr("A second pair of hands"))
        self.hands.toggled.connect(lambda on: self._set("hands", 2 if on else 1, tr("Hands")))
        form.addRow("", self.hands)

    def _bench_group(self) -> None:
        form = self._group(tr("The bench"))
        for words, name, suffix in bench_rows():
            self._row(form, words, name, suffix)
        self.start = TypedField(tr("Work starts at"))
        self.start.editingFinished.connect(self._set_start)
        form.addRow(tr("Work starts at"), self.start)

    def _extras_group(self) -> None:
        form = self._group(tr("Resin, coat, left-overs"))
        for words, name, suffix in extra_rows():
            self._row(form, words, name, suffix)
        self.learn = QPushButton()
        self.learn.hide()
        self.learn.setToolTip(tr("Silicone really used over silicone predicted, by the last pour that was logged"))
        self.learn.clicked.connect(self._take_learned)
        form.addRow("", self.learn)
        self.small_molds = TypedField(tr("Small molds kept ready"))
        self.small_molds.setPlaceholderText(tr("knob 12, key 8 (mL)"))
        self.small_molds.editingFinished.connect(self._set_small_molds)
        form.addRow(tr("Small molds"), self.small_molds)

    def _dial(self, form: QFormLayout, words: str, name: str, dial: Dial) -> None:
        self._fields[name] = dial
        dial.moved.connect(lambda value: self._set(name, value, words))
        form.addRow(words, dial)

    def _row(self, form: QFormLayout, words: str, name: str, suffix: str) -> None:
        if suffix == "altitude":
            field = self._altitude(words)
        else:
            field = self._length(name, words) if suffix == "length" else self._number(name, words, suffix)
        self._fields[name] = field
        field.setPlaceholderText(hint(name, self._units()))
        field.committed.connect(lambda value: self._set(name, None if math.isnan(value) else value, words))
        form.addRow(words, field)

    def _number(self, name: str, words: str, suffix: str) -> AmountField:
        _, least, most, _ = BOUNDS[name]

        def parse(text: str) -> float:
            bare = _clean(text)
            if least > 0.0 and bare.startswith("-"):
                raise BadValueError(words, f"{text.strip()!r} is too small", f"give at least {show(least)}")
            if suffix.strip() == "mL":
                value = parse_volume_ml(bare, words)
            elif suffix.strip() == "g":
                value = parse_mass_g(bare, words)
            else:
                value = typed_number(text, bare.removesuffix(_clean(suffix)), words, suffix)
            return within(value, text, words, least, most, show)

        def show(value: float) -> str:
            return f"{plain_number(value)}{suffix}"

        def as_typed(text: str) -> str:
            # quarts stay quarts where inches are read; else the unit of the field is the user's
            own = suffix.strip() in ("mL", "g") and self._units().length == "in" and text.strip()[-1:].isalpha()
            return text.strip() if own else _shown(show)(_optional(parse)(text))

        return AmountField(words, _optional(parse), _shown(show), as_typed=as_typed)

    def _altitude(self, words: str) -> AmountField:
        return AmountField(
            words,
            lambda text: typed_altitude_m(text, words, self._units()),
            lambda value: altitude_text(value, self._units()),
        )

    def _length(self, name: str, words: str) -> AmountField:
        def parse(text: str) -> float:
            return typed_length_mm(text, words, self._units(), *BOUNDS[name][1:3])

        return AmountField(words, _optional(parse), _shown(lambda v: length_field_text(v, self._units())))

    def _units(self) -> Units:
        return self._store.project.units

    def _parse_temperature(self, text: str) -> float:
        return typed_temperature_c(text, self._units())

    def _temperature_text(self, value_c: float) -> str:
        return temperature_field_text(value_c, self._units())

    # changing

    def _choose(self, kind: Kind, mix: Mix) -> None:
        edit = edits.set_silicone if kind == "silicone" else edits.set_resin
        self._store.apply(tr("Choose {name}", name=mix.name), edit(self._store.project, mix))

    def _set(self, name: str, value: object, words: str) -> None:
        if getattr(self._store.project.pour, name) == value:
            return
        try:
            after = with_settings(self._store.project, words, **{name: value})
        except LayoutError as error:
            self._refuse(name, error)
            return
        self._store.apply(tr("Change: {what}", what=words.lower()), after, merge=f"pour {name}")

    def _refuse(self, name: str, error: LayoutError) -> None:
        """Say what is wrong where it was typed."""
        field: object = {"start": self.start, "small_molds": self.small_molds}.get(name) or self._fields.get(name)
        field = field.field if isinstance(field, Dial) else field
        sentence = short(error)
        if isinstance(field, AmountField):
            field.refuse(sentence)
        elif isinstance(field, TypedField):
            field.mark(sentence)
        else:
            self._tell(said(error))

    def _set_floor(self, value_mm: float) -> None:
        project = self._store.project
        after = edits.set_rules(project, replace(project.rules, floor_mm=value_mm))
        self._store.apply(tr("Change: {what}", what=tr("floor")), after, merge="pour floor")

    def _set_start(self) -> None:
        self.start.mark("")
        if self.start.text().strip() != self._store.project.pour.start:
            self._set("start", self.start.text().strip(), tr("Work starts at"))

    def _set_small_molds(self) -> None:
        self.small_molds.mark("")
        try:
            molds = typed_small_molds(self.small_molds.text())
        except LayoutError as error:
            self._refuse("small_molds", error)
            return
        self._set("small_molds", molds, tr("Small molds"))

    def _take_learned(self) -> None:
        learned = offered_correction(self._store.project)
        if learned is not None:
            self._set("correction", learned, tr("Correction"))

    def _tell(self, sentence: str) -> None:
        self.problem.setText(sentence)
        self.problem.setVisible(bool(sentence))

    # showing

    def show_project(self, project: Project) -> None:
        """Show the project's materials and settings."""
        self._tell("")
        if project.units != self._shown_units:
            self._shown_units = project.units
            for name, field in (*self._fields.items(), ("floor", self._floor)):
                inner = field.field if isinstance(field, Dial) else field
                inner.refresh()
                inner.setPlaceholderText(hint(name, project.units))
        known = self._known()
        self._fill(self.silicone, known.silicones, project.silicone)
        self._fill(self.resin, known.resins, project.resin)
        for name, field in self._fields.items():
            value = getattr(project.pour, name)
            amount, inner = (
                math.nan if value is None else float(value),
                field.field if isinstance(field, Dial) else field,
            )
            same = amount == inner.value or (math.isnan(amount) and inner.value is not None and math.isnan(inner.value))
            if not (inner.is_wrong and same):  # what was refused stays to be mended, with the sentence under it
                field.set_value(amount)
        self._floor.set_value(project.rules.floor_mm)
        self.masters.show_project(project)
        for box, on in ((self.degas, project.pour.degas), (self.hands, project.pour.hands > 1)):
            box.blockSignals(True)
            box.setChecked(on)
            box.blockSignals(False)
        # what was refused stays to be mended, with the sentence under it
        if not (self.start.hasFocus() or self.start.is_wrong):
            self.start.setText(project.pour.start)
        if not (self.small_molds.hasFocus() or self.small_molds.is_wrong):
            self.small_molds.setText(small_molds_text(project.pour.small_molds))
        learned = offered_correction(project)
        fresh = learned is not None and abs(learned / project.pour.correction - 1.0) > 0.005
        self.learn.setVisible(fresh)
        if learned is not None and fresh:
            self.learn.setText(tr("Use {factor}, as poured", factor=plain_number(learned)))

    def _known(self) -> Catalogue:
        try:
            return catalogue()
        except LayoutError as error:
            self._tell(said(error))
            return built_in()

    def _fill(self, combo: QComboBox, mixes: tuple[Mix, ...], current: Mix) -> None:
        combo.blockSignals(True)
        combo.clear()
        for mix in mixes:
            combo.addItem(mix.name, mix)
        index = next((i for i, m in enumerate(mixes) if m == current), -1)
        if index < 0:
            known = any(same_name(m.name, current.name) for m in mixes)
            combo.addItem(tr("{name} (this project's)", name=current.name) if known else current.name, current)
            index = combo.count() - 1
        combo.setCurrentIndex(index)
        combo.blockSignals(False)


def offered_correction(project: Project) -> float | None:
    """Return the factor of the project's own last pour, else the one kept for boxes of its kind, else None."""
    own = learned_correction(project)
    return factors().get(box_kind(project)) if own is None else own


def typed_small_molds(text: str) -> tuple[SmallMold, ...]:
    """Read ``knob 12, key 8ml``: names, each with its volume.

    Examples
    --------
    >>> [(m.name, m.volume_ml) for m in typed_small_molds("left knob 12, key 8ml")]
    [('left knob', 12.0), ('key', 8.0)]
    """
    molds = []
    for part in (p.strip() for p in text.split(",")):
        if not part:
            continue
        name, _, volume = part.replace(":", " ").rpartition(" ")
        if not name.strip():
            raise BadValueError(tr("Small molds"), f"{part!r} has no name and volume", "write it like knob 12")
        molds.append(SmallMold(name.strip(), parse_volume_ml(volume, tr("Small molds"))))
    return tuple(molds)


def small_molds_text(molds: tuple[SmallMold, ...]) -> str:
    """Return small molds as they are typed."""
    return ", ".join(f"{m.name} {plain_number(m.volume_ml)}" for m in molds)
