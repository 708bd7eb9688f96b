"""The model's own dataclasses as the schema of the file: values to JSON and back, what is not known kept aside."""

import dataclasses
import json
import types
import typing
from functools import cache
from typing import Any, Final

import msgspec

from layout.errors import BadFileError
from layout.geometry import Disc, Outline
from layout.model import OutlineBox, Project, RectBox, RoundBox

_KINDS: Final[dict[type, str]] = {
    Disc: "disc",
    Outline: "outline",
    RectBox: "rect",
    RoundBox: "round",
    OutlineBox: "outline",
}
"""The word by which the file tells the members of a union apart."""

_KIND: Final = "kind"
_NOT_IN_FILE: Final[dict[type, set[str]]] = {Project: {"unknown"}}
_HEAD: Final = ("format", "version")
_MODEL_OF: Final[dict[type, type]] = {}


@cache
def file_fields(cls: type) -> tuple[tuple[dataclasses.Field[Any], Any], ...]:
    """Return each field of a dataclass that the file holds, with its resolved type."""
    hints = typing.get_type_hints(cls)
    kept = (f for f in dataclasses.fields(cls) if f.name not in _NOT_IN_FILE.get(cls, ()))
    return tuple((field, hints[field.name]) for field in kept)


@cache
def _wire(tp: Any) -> Any:
    """Return the msgspec type that reads a type of the model: dataclasses as structs, unions of them told apart."""
    if isinstance(tp, typing.NewType):
        return _wire(tp.__supertype__)
    if dataclasses.is_dataclass(tp) and isinstance(tp, type):
        return _struct(tp)
    origin, arguments = typing.get_origin(tp), typing.get_args(tp)
    if origin in (typing.Union, types.UnionType):
        return typing.Union[tuple(_wire(a) for a in arguments)]  # noqa: UP007 - built from a list
    if origin is tuple:
        return tuple[tuple(a if a is Ellipsis else _wire(a) for a in arguments)]  # type: ignore[misc]
    return tp


def _struct(cls: type) -> Any:
    fields: list[Any] = []
    for field, tp in file_fields(cls):
        if field.default is not dataclasses.MISSING:
            fields.append((field.name, _wire(tp), field.default))
        elif field.default_factory is not dataclasses.MISSING:
            fields.append((field.name, _wire(tp), msgspec.field(default_factory=field.default_factory)))
        else:
            fields.append((field.name, _wire(tp)))
    tagged: dict[str, Any] = {"tag_field": _KIND, "tag": _KINDS[cls]} if cls in _KINDS else {}
    struct: Any = msgspec.defstruct(cls.__name__, fields, frozen=True, kw_only=True, **tagged)
    _MODEL_OF[struct] = cls
    return struct


def from_plain(document: dict[str, Any], where: str) -> Project:
    """Return the project of a JSON document; what it holds beyond the model goes to `Project.unknown`.

    Raises
    ------
    BadFileError
        If a field is missing or of the wrong kind; the sentence names it.
    """
    try:
        wire = msgspec.convert(document, _wire(Project), strict=True)
    except (msgspec.ValidationError, OverflowError) as error:
        what, _, at = str(error).partition(" - at `$")
        field = at.rstrip("`").lstrip(".") or "file"
        raise BadFileError(
            where, f"the field {field} is wrong: {_lower(what)}", "mend that field or restore an older copy"
        ) from error
    unknown = _unknown(document, Project)
    project: Project = dataclasses.replace(
        _model(wire), unknown=json.dumps(unknown, ensure_ascii=False, sort_keys=True) if unknown else ""
    )
    return project


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _model(value: Any) -> Any:
    cls = _MODEL_OF.get(type(value))
    if cls is not None:
        return cls(**{name: _model(getattr(value, name)) for name in value.__struct_fields__})
    if isinstance(value, tuple):
        return tuple(_model(v) for v in value)
    return value


def to_plain(value: Any) -> Any:
    """Return a value of the model as dicts, lists, numbers and texts."""
    cls = type(value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        plain = {_KIND: _KINDS[cls]} if cls in _KINDS else {}
        return plain | {field.name: to_plain(getattr(value, field.name)) for field, _ in file_fields(type(value))}
    if isinstance(value, tuple):
        return [to_plain(v) for v in value]
    return value


@cache
def _dataclasses_in(tp: Any) -> tuple[type, ...]:
    """Return the dataclass that a type is, or those it is one of."""
    if dataclasses.is_dataclass(tp) and isinstance(tp, type):
        return (tp,)
    return tuple(a for a in typing.get_args(tp) if dataclasses.is_dataclass(a) and isinstance(a, type))


@cache
def _item_of(tp: Any) -> Any:
    """Return the type of a tuple's members; None for what is no tuple."""
    return next((a for a in typing.get_args(tp) if a is not Ellipsis), None)


@cache
def _known(cls: type) -> tuple[dict[str, Any], frozenset[str]]:
    """Return the types of a dataclass's fields by their names, and every key that is known where it stands."""
    known = {field.name: hint for field, hint in file_fields(cls)}
    return known, frozenset((*known, _KIND if cls in _KINDS else "", *(_HEAD if cls is Project else ())))


def _dataclass_for(value: Any, tp: Any) -> type | None:
    """Return the dataclass that a JSON object was read as."""
    members = _dataclasses_in(tp)
    if len(members) == 1:
        return members[0]
    return next((m for m in members if isinstance(value, dict) and _KINDS.get(m) == value.get(_KIND)), None)


def _key(value: Any, index: int) -> str:
    """Return what a list's member is found again by: its id where it has one, so that edits may move it."""
    return f"#{value['id']}" if isinstance(value, dict) and isinstance(value.get("id"), str) else str(index)


def _unknown(value: Any, tp: Any) -> dict[str, Any]:
    """Return the tree of what the model does not know: ``+`` holds the keys, every other key leads one level down."""
    if isinstance(value, list):
        item = _item_of(tp)
        below = {_key(v, i): _unknown(v, item) for i, v in enumerate(value)} if item is not None else {}
        return {k: v for k, v in below.items() if v}
    cls = _dataclass_for(value, tp) if isinstance(value, dict) else None
    if cls is None:
        return {}
    known, kept = _known(cls)
    tree: dict[str, Any] = {"." + name: _unknown(value[name], known[name]) for name in known if name in value}
    tree = {k: v for k, v in tree.items() if v}
    foreign = {k: v for k, v in value.items() if k not in kept}
    return tree | ({"+": foreign} if foreign else {})


def with_unknown(document: dict[str, Any], unknown: str) -> dict[str, Any]:
    """Return the document with what `Project.unknown` kept put back where it came from, if that is still there."""
    if unknown:
        _put_back(document, json.loads(unknown))
    return document


def _put_back(value: Any, tree: dict[str, Any]) -> None:
    if isinstance(value, list):
        for i, member in enumerate(value):
            if (below := tree.get(_key(member, i))) is not None:
                _put_back(member, below)
    elif isinstance(value, dict):
        for name, below in tree.items():
            if name == "+":
                value.update({k: v for k, v in below.items() if k not in value})
            elif name[1:] in value:
                _put_back(value[name[1:]], below)
