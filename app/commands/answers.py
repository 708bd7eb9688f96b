"""Answers on stdout: one JSON document, or a text for people."""

import argparse
import json
import math
from collections.abc import Mapping
from typing import Any

from layout.model import Finding
from layout.units import Units
from layout.wording import message


def answer(args: argparse.Namespace, document: Mapping[str, Any], text: str) -> None:
    """Print the document with ``--json``, else the text."""
    if args.json:
        print(json.dumps(_plain(document), ensure_ascii=False, indent=2, allow_nan=False))
    else:
        print(text)


def finding_json(finding: Finding, units: Units) -> dict[str, Any]:
    """Return a finding as the contract of the command line has it."""
    in_mm = finding.unit == "mm"
    return {
        "kind": finding.kind,
        "severity": str(finding.severity),
        "cavities": list(finding.cavities),
        "measured": finding.measured,
        "required": finding.required,
        "unit": finding.unit,
        "measured_mm": finding.measured if in_mm else None,
        "required_mm": finding.required if in_mm else None,
        "segment_mm": None if finding.segment is None else [list(p) for p in finding.segment],
        "message": message(finding, units),
        "asks_reason": finding.asks_reason,
    }


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(k): _plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(v) for v in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
