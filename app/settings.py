"""What the window remembers between two starts, typed; nothing of it belongs to a project."""

from __future__ import annotations

from pathlib import Path
from typing import Final, Literal

from PySide6.QtCore import QByteArray, QSettings

from layout.units import Units

ORGANISATION: Final = "Manymold"
APPLICATION: Final = "Manymold"
MOST_RECENT: Final = 10

Theme = Literal["system", "light", "dark"]


class Settings:
    """Reads and writes one INI file in the user's own folder."""

    def __init__(self) -> None:
        self._ini = QSettings(QSettings.Format.IniFormat, QSettings.Scope.UserScope, ORGANISATION, APPLICATION)

    def _text(self, key: str, default: str = "") -> str:
        value = self._ini.value(key, default)
        return value if isinstance(value, str) else default

    @property
    def units(self) -> Units:
        """Units of new projects: what was chosen last, at first what the system's region uses."""
        unit = self._text("units/length")
        if unit not in ("mm", "in"):
            from PySide6.QtCore import QLocale

            imperial = QLocale.system().measurementSystem() != QLocale.MeasurementSystem.MetricSystem
            # kept from the first start on: a change of region does not change the user's unit
            self.units = Units("in" if imperial else "mm")
            return Units("in" if imperial else "mm")
        denominator = self._text("units/denominator", "32")
        return Units("in" if unit == "in" else "mm", int(denominator) if denominator.isdigit() else 32)

    @units.setter
    def units(self, units: Units) -> None:
        self._ini.setValue("units/length", units.length)
        self._ini.setValue("units/denominator", str(units.denominator))

    @property
    def theme(self) -> Theme:
        value = self._text("look/theme", "system")
        return "light" if value == "light" else "dark" if value == "dark" else "system"

    @theme.setter
    def theme(self, theme: Theme) -> None:
        self._ini.setValue("look/theme", theme)

    @property
    def recent_files(self) -> list[Path]:
        """The projects used last, the latest first; some may be gone."""
        lines = self._text("files/recent").split("\n")
        return [Path(line) for line in lines if line]

    @recent_files.setter
    def recent_files(self, files: list[Path]) -> None:
        self._ini.setValue("files/recent", "\n".join(str(f) for f in files[:MOST_RECENT]))

    def used(self, path: Path) -> None:
        """Put a project at the head of the recent ones."""
        path = path.absolute()
        self.recent_files = [path, *(f for f in self.recent_files if f != path)]
        self.last_folder = path.parent

    @property
    def last_folder(self) -> Path:
        folder = Path(self._text("files/folder") or Path.home())
        return folder if folder.is_dir() else Path.home()

    @last_folder.setter
    def last_folder(self, folder: Path) -> None:
        self._ini.setValue("files/folder", str(folder))

    @property
    def snap(self) -> bool:
        return self._text("canvas/snap", "no") == "yes"

    @snap.setter
    def snap(self, snap: bool) -> None:
        self._ini.setValue("canvas/snap", "yes" if snap else "no")

    @property
    def fill_seconds(self) -> float:
        try:
            return min(3600.0, max(1.0, float(self._text("fill/seconds", "20"))))
        except ValueError:
            return 20.0

    @fill_seconds.setter
    def fill_seconds(self, seconds: float) -> None:
        self._ini.setValue("fill/seconds", f"{seconds:g}")

    def remembered(self, key: str) -> str:
        """Return a choice a dialog made last time; empty if none."""
        return self._text(f"dialogs/{key}")

    def remember(self, key: str, value: str) -> None:
        """Keep a choice for the next time a dialog opens."""
        self._ini.setValue(f"dialogs/{key}", value)

    def bytes_of(self, key: str) -> QByteArray:
        """Return a stored state of the window (its size, its splitters); empty if none."""
        value = self._ini.value(f"window/{key}")
        return value if isinstance(value, QByteArray) else QByteArray()

    def set_bytes(self, key: str, value: QByteArray) -> None:
        """Store a state of the window."""
        self._ini.setValue(f"window/{key}", value)

    def forget_all(self) -> None:
        """Go back to what a first start has."""
        self._ini.clear()

    def sync(self) -> None:
        """Write now."""
        self._ini.sync()
