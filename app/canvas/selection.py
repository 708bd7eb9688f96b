"""What is selected: cavities in the order they were chosen, and keep-outs. Not part of the Project, so never undone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

if TYPE_CHECKING:
    from collections.abc import Iterable

    from layout.model import CavityId, KeepOutId, Project


class Selection(QObject):
    """The selection of one window.

    Signals
    -------
    changed()
    """

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.cavities: tuple[CavityId, ...] = ()
        self.keep_outs: tuple[KeepOutId, ...] = ()

    def __contains__(self, item: str) -> bool:
        return item in self.cavities or item in self.keep_outs

    @property
    def is_empty(self) -> bool:
        return not self.cavities and not self.keep_outs

    def set(self, cavities: Iterable[CavityId] = (), keep_outs: Iterable[KeepOutId] = ()) -> None:
        """Select these and nothing else."""
        chosen, areas = tuple(dict.fromkeys(cavities)), tuple(dict.fromkeys(keep_outs))
        if (chosen, areas) != (self.cavities, self.keep_outs):
            self.cavities, self.keep_outs = chosen, areas
            self.changed.emit()

    def add(self, cavities: Iterable[CavityId]) -> None:
        """Select these too."""
        self.set((*self.cavities, *cavities), self.keep_outs)

    def toggle(self, cavity: CavityId) -> None:
        """Select it, or no more."""
        if cavity in self.cavities:
            self.set((i for i in self.cavities if i != cavity), self.keep_outs)
        else:
            self.add([cavity])

    def clear(self) -> None:
        """Select nothing."""
        self.set()

    def keep_existing(self, project: Project) -> None:
        """Drop what the project no longer has."""
        cavities = {c.id for c in project.cavities}
        areas = {k.id for k in project.keep_outs}
        self.set((i for i in self.cavities if i in cavities), (k for k in self.keep_outs if k in areas))
