from dataclasses import replace

from layout import edits
from layout.advice import layout_advice
from layout.masters import read_master
from layout.masters.undercut import LOCKED
from layout.model import Box, Project, RectBox, Severity


def test_that_silicone_which_is_locked_is_not_called_a_stretch() -> None:
    arch = replace(read_master("square:18x5"), undercut=LOCKED)
    project = Project("p", Box(RectBox(100, 100)), (arch,))
    project, _ = edits.add_cavities(project, [(arch.id, 50.0, 50.0, 0.0)])
    (finding,) = [f for f in layout_advice(project) if f.kind == "undercut"]
    assert finding.severity == Severity.WARN, "advice of a layout never refuses"
    assert "locked" in finding.detail
    assert "%" not in finding.detail
