"""Every text the window shows passes through here, so that it can be translated.

A language is a catalogue: English texts as they stand in the code, with their ``{places}`` for values, to texts of that
language with the same places. Texts of the window are looked up by `tr` before their values are filled in. Sentences
that `layout` makes come as they are read; `said` finds the catalogue's text that such a sentence was made by, and fills
the sentence's own values into its translation. `tests/texts.py` lists all texts there are.
"""

from __future__ import annotations

import re
from functools import lru_cache, partial
from typing import TYPE_CHECKING, Final

from layout.errors import LayoutError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

_PLACE: Final = re.compile(r"\{(\w*)(?:![rsa])?(?::[^{}]*)?\}")
_LEAST_LETTERS: Final = 2
"""A text with fewer letters of its own would match nearly anything."""

_JOINTS: Final = (
    (r"(?<=[.!?]) +(?=\S)", " "), (r"(?<=;) +(?=\S)", " "), (r"(?<=:) +(?=\S)", " "), (r"(?<=.)(?=, )", ""),
)  # fmt: skip
"""Where sentences, and parts of them, are taken apart, with what is put between their translations."""

_catalogue: Mapping[str, str] = {}
_tag = "en"


def use(catalogue: Mapping[str, str], tag: str = "en") -> None:
    """Speak this language from now on, called by its tag; an empty catalogue is English."""
    global _catalogue, _tag
    _catalogue, _tag = catalogue, tag
    _patterns.cache_clear()
    _sentence.cache_clear()


def language() -> str:
    """Return the tag of the language that is spoken, as HTML names it: ``en``, ``pt-BR``."""
    return _tag


def tr(text: str, **values: object) -> str:
    """Return the text in the user's language with its ``{names}`` filled in."""
    translated = _catalogue.get(text, text)
    return translated.format(**values) if values else translated


def counted(number: int, one: str, many: str, **values: object) -> str:
    """Return the wording for one or for many, with ``{n}`` filled in."""
    return tr(one if number == 1 else many, n=number, **values)


def said(sentence: str | LayoutError) -> str:
    """Return what `layout` says in the user's language: a finding's sentence, an error, the name of a step.

    Notes
    -----
    What no text of the catalogue matches, such as a name the user typed, stays as it is. Of several that match, the
    one with the most words of its own is taken. Values are words of `layout` themselves at times, and translated too.
    """
    if isinstance(sentence, LayoutError):
        where, problem, remedy = (said(part) for part in (sentence.where, sentence.problem, sentence.remedy))
        return tr("{where}: {problem}; {remedy}.", where=where, problem=problem, remedy=remedy)
    return _sentence(sentence) if _catalogue else sentence


def short(error: LayoutError) -> str:
    """Return an error without where it is, for what stands at that very place."""
    return tr("{problem}; {remedy}.", problem=said(error.problem), remedy=said(error.remedy))


@lru_cache(maxsize=4096)
def _sentence(sentence: str) -> str:
    whole = _matched(sentence)
    if whole is not None:
        return whole
    if sentence.startswith(", "):
        return ", " + _sentence(sentence[2:])
    head, colon, rest = sentence.partition(": ")
    if colon and head in _catalogue:
        return f"{_catalogue[head]}: {_sentence(rest)}"
    # the strongest joint first: a colon within one of several sentences belongs to that sentence
    for joint, between in _JOINTS:
        parts = re.split(joint, sentence)
        if len(parts) > 1:
            return between.join(_sentence(part) for part in parts)
    if sentence.endswith((":", ";")):
        return _sentence(sentence[:-1]) + sentence[-1]
    return _bare(sentence)


def _bare(sentence: str) -> str:
    """What is known of a piece no text matches: the thing counted in it, the word in brackets behind it."""
    aside = re.fullmatch(r"(.+?) \(([^()]+)\)", sentence)
    if aside:
        return f"{_sentence(aside[1])} ({_sentence(aside[2])})"
    counted_thing = re.fullmatch(r"([\d.,]+) (\D+)", sentence)
    return f"{counted_thing[1]} {_sentence(counted_thing[2])}" if counted_thing else sentence


def _matched(sentence: str) -> str | None:
    known = _catalogue.get(sentence)
    if known is not None:
        return known
    for pattern, names, translated in _patterns():
        match = pattern.fullmatch(sentence)
        if match is not None:
            values = {name: _sentence(value) for name, value in zip(names, match.groups(), strict=True)}
            return _PLACE.sub(partial(_value, values), translated)
    return None


def _value(values: dict[str, str], place: re.Match[str]) -> str:
    return values[place[1]]


@lru_cache(maxsize=1)
def _patterns() -> list[tuple[re.Pattern[str], list[str], str]]:
    """The catalogue's texts with places, those with the most words of their own first."""
    found = sorted(_with_places(), key=lambda entry: -entry[0])
    return [(re.compile(pattern, re.DOTALL), names, translated) for _, pattern, names, translated in found]


def _with_places() -> Iterator[tuple[int, str, list[str], str]]:
    for text, translated in _catalogue.items():
        pieces = _PLACE.split(text)
        own = "".join(pieces[::2])
        if len(pieces) > 1 and sum(map(str.isalpha, own)) >= _LEAST_LETTERS:
            pattern = "(.+?)".join(re.escape(piece.replace("{{", "{").replace("}}", "}")) for piece in pieces[::2])
            yield len(own), pattern, pieces[1::2], translated
