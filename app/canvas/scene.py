"""The Project as graphics items: what did not change is not touched, what changed is found by identity."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainterPath, QPolygonF
from PySide6.QtWidgets import QGraphicsScene

from app.canvas.gap_items import WORDS_REACH_PX, GapsItem
from app.canvas.items import (
    AreaItem,
    BoxItem,
    CavityItem,
    HandleItem,
    LineItem,
    RubberItem,
)
from layout.gaps import Gap
from layout.model import BoxShape, Cavity, CavityId, Finding, KeepOutId, Master, MasterId, Project, RectBox, RoundBox
from layout.numbering import numbers
from layout.regions import inner_polygon, inner_size_mm

if TYPE_CHECKING:
    import shapely
    from PySide6.QtWidgets import QGraphicsItem

    from app.canvas.desk import Desk, Preview
    from app.theme import Look

MARGIN_SHARE: Final = 0.12


class _Drawn(NamedTuple):
    """What the cavities were last drawn by, beside themselves."""

    look: Look
    selected: frozenset[CavityId]
    numbers: dict[CavityId, int]
    failing: frozenset[CavityId]
    broken: frozenset[CavityId]

    def is_as(
        self, look: Look, selected: frozenset[CavityId], numbers: dict[CavityId, int], failing: frozenset[CavityId]
    ) -> bool:
        return self.look is look and self.selected == selected and self.numbers is numbers and self.failing == failing


def _failing(project: Project) -> frozenset[CavityId]:
    """Return the cavities that fail again and again, as the batch log has it."""
    if not project.log:
        return frozenset()
    # only now: a start has no log yet
    from layout.batch_log import bad_cavities

    return frozenset(bad.cavity for bad in bad_cavities(project))


class Scene(QGraphicsScene):
    """Draws the desk's Project, or a preview in its place."""

    def __init__(self, desk: Desk, look: Look) -> None:
        super().__init__()
        self._desk, self._look = desk, look
        self._box = BoxItem(look)
        self._handle = HandleItem(look)
        self._line = LineItem(look)
        self._gaps = GapsItem()
        self._cavities: dict[CavityId, CavityItem] = {}
        self._shown: dict[CavityId, Cavity] = {}
        self._areas: dict[KeepOutId, AreaItem] = {}
        self._overlays: list[QGraphicsItem] = []
        self._numbers: dict[CavityId, int] = {}
        self._findings: tuple[Finding, ...] = ()
        self._failing: frozenset[CavityId] = frozenset()
        self._broken: frozenset[CavityId] = frozenset()
        self._project: Project | None = None
        self._drawn: _Drawn | None = None
        self._box_drawn: tuple[Look, BoxShape, float, float] | None = None
        self._mm_per_pixel = 1.0
        self.show_findings_labels = True
        for item in (self._box, self._handle, self._line, self._gaps):
            self.addItem(item)
        # drags move a few items among many: a tree of places would be built anew each time
        self.setItemIndexMethod(QGraphicsScene.ItemIndexMethod.NoIndex)
        desk.store.changed.connect(self._project_changed)
        desk.previewed.connect(self.show_preview)
        desk.selection.changed.connect(self._selection_changed)
        desk.section_changed.connect(self._show_line)
        self._project_changed(desk.project)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """The broken rules of the Project."""
        return self._findings

    @property
    def look(self) -> Look:
        return self._look

    def set_look(self, look: Look) -> None:
        """Wear another look."""
        self._look = look
        self._handle.set_look(look)
        self._project_changed(self._desk.project)
        self._show_line()

    def set_scale(self, mm_per_pixel: float) -> None:
        """Keep the handle at the same distance on the screen."""
        self._mm_per_pixel = mm_per_pixel
        for item in self._cavities.values():
            item.fit_cache(1.0 / mm_per_pixel)
        self._place_handle()
        self._add_gaps(self._gaps.gaps)

    def _project_changed(self, project: Project) -> None:
        self._numbers = self._desk.numbers()
        self._findings = self._desk.findings()
        self._broken = frozenset(i for f in self._findings for i in f.cavities)
        self._failing = _failing(project)
        self._show_box(project)
        self._show_cavities(project, self._broken)
        self._show_areas(project)
        self._show_gaps(self._desk.gaps())
        self._place_handle()
        self._show_line()

    def show_preview(self, preview: Preview | None) -> None:
        """Show what a drag would make of the Project; None: the Project again."""
        self._clear_overlays()
        if preview is None:
            self._numbers = self._desk.numbers()
            self._show_cavities(self._desk.project, self._broken)
            self._show_areas(self._desk.project)
            self._place_handle()
            self._show_gaps(self._desk.gaps())
            return
        broken = self._broken
        another = False
        areas_move = preview.project.keep_outs is not self._desk.project.keep_outs
        if preview.moving or areas_move:
            broken = frozenset(i for gap in preview.gaps if gap.is_thin for i in (gap.cavity, CavityId(gap.name)))
        elif preview.project is not self._desk.project:
            # another layout altogether, as a fill shows it: the numbers of the old one mean nothing in it
            self._numbers, broken = numbers(preview.project), frozenset()
            another = True
        self._show_cavities(preview.project, broken, () if another else None)
        if areas_move:
            self._show_areas(preview.project)
        self._handle.setVisible(not preview.moving and not another and self._handle.isVisible())
        self._add_gaps(preview.gaps)
        if preview.band:
            self._overlay(RubberItem(self._look, *preview.band, dense=False))
        if preview.area:
            self._overlay(RubberItem(self._look, *preview.area, dense=True))

    def _selection_changed(self) -> None:
        self._show_cavities(self._desk.project, self._broken)
        self._show_areas(self._desk.project)
        self._place_handle()
        self._show_gaps(self._desk.gaps())

    def _show_cavities(
        self, project: Project, broken: frozenset[CavityId], chosen: tuple[CavityId, ...] | None = None
    ) -> None:
        masters: dict[MasterId, Master] = {m.id: m for m in project.masters}
        same_masters = self._project is not None and self._project.masters is project.masters
        selected = frozenset(self._desk.selection.cavities if chosen is None else chosen)
        # in a drag a few of hundreds change: the others are passed over
        drawn = self._drawn
        alike = same_masters and drawn is not None and drawn.is_as(self._look, selected, self._numbers, self._failing)
        doubtful = broken ^ drawn.broken if drawn is not None else broken
        present = {c.id for c in project.cavities}
        gone = list(self._cavities.keys() - present)
        for cavity in project.cavities:
            if alike and self._shown.get(cavity.id) is cavity and cavity.id not in doubtful:
                continue
            item = self._cavities.get(cavity.id)
            if item is None:
                item = self._cavities[cavity.id] = self._item_for_new(gone)
            if self._shown.get(cavity.id) is not cavity or not same_masters:
                master = masters[cavity.master]
                item.set_shape(master.footprint, cavity.x_mm, cavity.y_mm, cavity.angle_deg, master.holes)
                self._shown[cavity.id] = cavity
            item.set_state(
                self._look, str(self._numbers.get(cavity.id, "")), selected=cavity.id in selected,
                pinned=cavity.pinned, broken=cavity.id in broken, empty=cavity.empty,
                fails=cavity.id in self._failing,
            )  # fmt: skip
        for left in gone:
            self.removeItem(self._cavities.pop(left))
            self._shown.pop(left, None)
        self._project = project
        self._drawn = _Drawn(self._look, selected, self._numbers, self._failing, broken)

    def _item_for_new(self, gone: list[CavityId]) -> CavityItem:
        """Return the item of a cavity that is gone, or another: a fill exchanges all of a thousand at once."""
        if gone:
            left = gone.pop()
            self._shown.pop(left, None)
            return self._cavities.pop(left)
        item = CavityItem(self._look)
        item.fit_cache(1.0 / self._mm_per_pixel)
        self.addItem(item)
        return item

    def _show_areas(self, project: Project) -> None:
        present = set()
        for area in project.keep_outs:
            present.add(area.id)
            item = self._areas.get(area.id)
            if item is None:
                item = self._areas[area.id] = AreaItem(self._look, area.id)
                self.addItem(item)
            rect = QRectF(
                area.x_mm - area.length_mm / 2, area.y_mm - (area.length_mm if area.round else area.width_mm) / 2,
                area.length_mm, area.length_mm if area.round else area.width_mm,
            )  # fmt: skip
            item.set_area(self._look, rect, area.round, area.purpose, area.id in self._desk.selection)
        for gone in self._areas.keys() - present:
            self.removeItem(self._areas.pop(gone))

    def _show_box(self, project: Project) -> None:
        drawn = (self._look, project.box.shape, project.box.thickness_mm, project.rules.edge_mm)
        if drawn == self._box_drawn:
            # all lies on the box: drawn anew, it would have all drawn anew
            return
        self._box_drawn = drawn
        shape, side = project.box.shape, project.box.thickness_mm
        edge = project.rules.edge_mm
        inside, outside, rim = QPainterPath(), QPainterPath(), QPainterPath()
        if isinstance(shape, RoundBox):
            r = shape.diameter_mm / 2.0
            for path, radius in ((inside, r), (outside, r + side), (rim, r - edge)):
                if radius > 0:
                    path.addEllipse(QPointF(r, r), radius, radius)
        elif isinstance(shape, RectBox):
            # the box of the empty window, drawn before shapely is loaded
            length, width = shape.length_mm, shape.width_mm
            for path, more in ((inside, 0.0), (outside, side), (rim, -edge)):
                if min(length, width) + 2 * more > 0:
                    path.addRect(QRectF(-more, -more, length + 2 * more, width + 2 * more))
        else:
            polygon = inner_polygon(shape)
            inside = _path_of(polygon)
            # for drawing only: walls are measured, never buffered
            outside = _path_of(polygon.buffer(side, join_style="mitre"))
            rim = _path_of(polygon.buffer(-edge, join_style="mitre"))
        self._box.set_box(self._look, inside, outside, rim)
        length, width = inner_size_mm(shape)
        margin = side + MARGIN_SHARE * max(length, width)
        room = max(length, width)
        self.setSceneRect(QRectF(-room, -room, length + 2 * room, width + 2 * room))
        self.box_rect = QRectF(-margin, -margin, length + 2 * margin, width + 2 * margin)

    def _clear_overlays(self) -> None:
        for item in self._overlays:
            self.removeItem(item)
        self._overlays.clear()

    def _overlay(self, item: QGraphicsItem) -> None:
        self._overlays.append(item)
        self.addItem(item)

    def _add_gaps(self, gaps: tuple[Gap, ...]) -> None:
        zoom = 1.0 / self._mm_per_pixel
        self._gaps.show_gaps(gaps, self._desk.project.units, zoom, self._numbers_near(gaps, zoom))

    def _numbers_near(self, gaps: tuple[Gap, ...], zoom: float) -> tuple[QRectF, ...]:
        """Where the numbers of cavities stand that words of these gaps could cover."""
        if not gaps:
            return ()
        xs = [x for gap in gaps for x, _ in gap.segment]
        ys = [y for gap in gaps for _, y in gap.segment]
        room = WORDS_REACH_PX / zoom
        left, right, low, high = min(xs) - room, max(xs) + room, min(ys) - room, max(ys) + room
        found = []
        if self._handle.isVisible():
            handle = QRectF(0.0, 0.0, 20.0 / zoom, 20.0 / zoom)
            handle.moveCenter(self._handle.pos())
            found.append(handle)
        for cavity_id, cavity in self._shown.items():
            if left < cavity.x_mm < right and low < cavity.y_mm < high:
                rect = self._cavities[cavity_id].number_rect(zoom)
                if rect is not None:
                    found.append(rect)
        return tuple(found)

    def _show_gaps(self, gaps: tuple[Gap, ...]) -> None:
        """Show the gaps round the selection and every broken rule with its length."""
        self._clear_overlays()
        measured = {frozenset((g.cavity, g.name)) for g in gaps}
        broken = [_as_gap(f) for f in self._findings[:60] if f.segment and frozenset(f.cavities) not in measured]
        self._add_gaps((*gaps, *broken))

    def _place_handle(self) -> None:
        place = None if self._desk.locked else self._desk.handle(self._mm_per_pixel)
        self._handle.setVisible(place is not None)
        if place:
            self._handle.setPos(*place)

    def _show_line(self) -> None:
        line = self._desk.section_line
        self._line.setVisible(line is not None)
        if line is not None:
            self._line.set_line(self._look, *line)


def _as_gap(finding: Finding) -> Gap:
    """Return a broken rule as a gap too thin, to be drawn the same way."""
    segment = finding.segment or ((0.0, 0.0), (0.0, 0.0))
    name = finding.cavities[1] if len(finding.cavities) > 1 else ""
    required = max(finding.required or 0.0, 1e-3)
    return Gap("cavity" if name else "side", name, finding.cavities[0], finding.measured or 0.0, required, segment)


def _path_of(polygon: shapely.Geometry) -> QPainterPath:
    import shapely

    path = QPainterPath()
    for part in shapely.get_parts(polygon):
        if part.geom_type == "Polygon" and not part.is_empty:
            path.addPolygon(QPolygonF([QPointF(x, y) for x, y in part.exterior.coords]))
    return path
