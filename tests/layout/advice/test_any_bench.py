"""Whatever the bench, the material and the layout: every number is one, every sentence is whole, the sheet is made."""

import json
import math
from dataclasses import fields, replace

from hypothesis import given, settings
from hypothesis import strategies as st

from layout.advice import KINDS, advice
from layout.documents.pour_sheet.answers import pour_document, pour_text
from layout.documents.pour_sheet.content import sheet_content
from layout.documents.pour_sheet.page import pour_pages
from layout.documents.pour_sheet.table import to_csv
from layout.materials import built_in, checked
from layout.materials.catalogue import LIMITS
from layout.model import PourSettings
from layout.pour.settings import BOUNDS, with_settings
from layout.units import Units
from tests.worked_example import grid_of_48

E1 = grid_of_48()
_OPTIONAL = {f.name for f in fields(PourSettings) if f.default is None}


def _edges(least: float, most: float):
    return st.one_of(st.sampled_from([least, most]), st.floats(least, most))


def _setting(name: str):
    _, least, most, _ = BOUNDS[name]
    values = _edges(least, most)
    if name == "hands":
        return st.integers(1, 3)
    return st.one_of(st.none(), values) if name in _OPTIONAL else values


_benches = st.fixed_dictionaries({}, optional={name: _setting(name) for name in BOUNDS} | {"degas": st.booleans()})
_TOGETHER = {"demold_min", "pot_life_min", "ratio_a", "ratio_b", "mold_life", "keeps_days"}
_numbers = st.fixed_dictionaries(
    {}, optional={name: _edges(least, most) for name, _, least, most, _ in LIMITS if name not in _TOGETHER}
)
_mixes = st.builds(
    lambda mix, numbers: checked(replace(mix, **numbers), "x"),
    st.sampled_from(built_in().silicones + built_in().resins),
    _numbers,
)


def _no_nan(value) -> bool:
    if isinstance(value, dict):
        return all(_no_nan(v) for v in value.values())
    if isinstance(value, (list, tuple)):
        return all(_no_nan(v) for v in value)
    return not isinstance(value, float) or math.isfinite(value)


@settings(max_examples=40, deadline=None)
@given(_benches, _mixes, _mixes, st.integers(0, 12), st.booleans(), st.booleans())
def test_that_any_bench_gets_its_sheet(bench, silicone, resin, count, inches, some_empty):
    cavities = tuple(replace(c, empty=some_empty and i % 3 == 0) for i, c in enumerate(E1.cavities[:count]))
    units = Units("in") if inches else Units()
    project = with_settings(replace(E1, cavities=cavities, silicone=silicone, resin=resin, units=units), "x", **bench)
    found = advice(project, "2026-03-31", bulge=False)
    for finding in found:
        assert finding.kind in KINDS
        assert finding.detail.endswith(".")
        assert "nan" not in finding.detail.lower().split()
        assert _no_nan([finding.measured, finding.required])
    document = pour_document(project)
    assert _no_nan(document)
    json.dumps(document, allow_nan=False)
    content = sheet_content(project, found)
    assert pour_text(project, content)
    assert to_csv(project, content).count("\r\n") > 20
    assert pour_pages(project, content)[0].marks
