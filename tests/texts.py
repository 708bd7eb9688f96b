"""All texts that can be shown: ``python -m tests.texts`` prints them as JSON, for a translator to fill in.

A translation stands in ``resources/translations/LANGUAGE.json``: English text to translated text, places kept.
"""

from __future__ import annotations

import ast
import json
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).resolve().parents[1]


def texts() -> list[str]:
    """Return every text of the code with letters in it: constants, and f-strings with numbered places."""
    found: dict[str, None] = {}
    for folder in ("app", "layout"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            if "commands" not in path.parts:
                found.update(dict.fromkeys(_of(ast.parse(path.read_text(encoding="utf-8")))))
    return list(found)


def _of(tree: ast.AST) -> Iterator[str]:
    docstrings = {id(n.value) for n in ast.walk(tree) if isinstance(n, ast.Expr)}
    for node in ast.walk(tree):
        if id(node) in docstrings:
            continue
        if isinstance(node, ast.JoinedStr | ast.BinOp):
            text = _template(node)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        else:
            continue
        for part in (text, *_levels(text)) if text else ():
            if sum(map(str.isalpha, part)) > 1:
                yield part


def _levels(text: str) -> list[str]:
    """The titles in the path of a menu."""
    return text.split("/") if text.startswith("&") and "/" in text else []


def _template(node: ast.JoinedStr | ast.BinOp) -> str | None:
    parts = list(_parts(node))
    if not any(isinstance(p, str) for p in parts) or (isinstance(node, ast.BinOp) and None not in parts):
        return "".join(p for p in parts if p) or None
    number, text = 0, ""
    for part in parts:
        if part is None:
            text += f"{{{number}}}"
            number += 1
        else:
            text += part.replace("{", "{{").replace("}", "}}")
    return text


def _parts(node: ast.AST) -> Iterator[str | None]:
    """The literal pieces of a text, None for each value in it."""
    if isinstance(node, ast.JoinedStr):
        for value in node.values:
            yield from _parts(value)
    elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        yield from _parts(node.left)
        yield from _parts(node.right)
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    else:
        yield None


if __name__ == "__main__":
    print(json.dumps(dict.fromkeys(texts(), ""), indent=1, ensure_ascii=False))
