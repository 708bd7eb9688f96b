"""Pictures of every page in both looks, plain and at double sharpness; no text is cut at 1280 x 720."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtGui import QColor, QImage

from app.pages import PAGES
from app.theme import DARK, LIGHT, Look


@pytest.mark.parametrize(("look", "scale"), [("light", 1), ("dark", 1), ("light", 2), ("dark", 2)])
def test_that_every_page_is_shown_whole_in_both_looks(look: str, scale: int, tmp_path: Path) -> None:
    environment = dict(os.environ, QT_QPA_PLATFORM="offscreen", QT_SCALE_FACTOR=str(scale))
    root = Path(__file__).resolve().parents[2]
    done = subprocess.run(
        [sys.executable, "-m", "tests.app.take_pictures", str(tmp_path), look],
        cwd=root, env=environment, capture_output=True, text=True, timeout=200, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert done.stdout == ""
    names = ["empty", "cavities", "broken-mirrored-inches", *(page.id for page in PAGES[1:])]
    for name in names:
        picture = QImage(str(tmp_path / f"{name}.png"))
        assert (picture.width(), picture.height()) == (1280 * scale, 720 * scale), name
        ground = QColor((DARK if look == "dark" else LIGHT).window)
        corner = picture.pixelColor(2, picture.height() - 8 * scale)
        assert abs(corner.lightness() - ground.lightness()) < 12, name


def contrast(a: str, b: str) -> float:
    """WCAG 2.2 contrast ratio (relative luminance as in its glossary; formula from memory)."""

    def luminance(colour: str) -> float:
        parts = [QColor(colour).redF(), QColor(colour).greenF(), QColor(colour).blueF()]
        linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("look", [LIGHT, DARK])
def test_that_text_has_a_contrast_of_four_and_a_half_and_marks_of_three(look: Look) -> None:
    for ground in (look.window, look.panel, look.field, look.silicone):
        assert contrast(look.text, ground) >= 4.5
        assert contrast(look.quiet, ground) >= 4.5
        assert contrast(look.alarm, ground) >= 4.5
    for fill in (look.cavity, look.selected, look.pinned):
        assert contrast(look.text, fill) >= 4.5
    assert contrast(look.accent_text, look.accent) >= 4.5
    assert contrast(look.cavity_line, look.silicone) >= 3.0
    assert contrast(look.selected_line, look.silicone) >= 3.0
    assert contrast(look.side, look.silicone) >= 3.0


# Machado, Oliveira and Fernandes (2009), severity 1.0, linear RGB; the matrices are from memory
DEFICIENCIES = {
    "protanopia": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deuteranopia": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.01182, 0.04294, 0.968881)),
    "tritanopia": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.3039)),
}


def seen(colour: str, deficiency: str) -> tuple[float, float, float]:
    parts = (QColor(colour).redF(), QColor(colour).greenF(), QColor(colour).blueF())
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    mixed = [sum(m * c for m, c in zip(row, linear, strict=True)) for row in DEFICIENCIES[deficiency]]
    r, g, b = (
        12.92 * c if c <= 0.0031308 else 1.055 * min(1.0, c) ** (1 / 2.4) - 0.055 for c in (max(0.0, m) for m in mixed)
    )
    return r, g, b


@pytest.mark.parametrize("look", [LIGHT, DARK])
@pytest.mark.parametrize("deficiency", DEFICIENCIES)
def test_that_alarm_and_accent_stay_apart_for_every_colour_vision(look: Look, deficiency: str) -> None:
    a, b = seen(look.alarm, deficiency), seen(look.accent, deficiency)
    assert sum((x - y) ** 2 for x, y in zip(a, b, strict=True)) ** 0.5 > 0.25
    c, d = seen(look.selected, deficiency), seen(look.cavity, deficiency)
    assert sum((x - y) ** 2 for x, y in zip(c, d, strict=True)) ** 0.5 > 0.12
