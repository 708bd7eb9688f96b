"""Every text the window shows passes through here, so that it can be translated."""

from PySide6.QtCore import QCoreApplication

CONTEXT = "manymold"


def tr(text: str, **values: object) -> str:
    """Return the text in the user's language with its ``{names}`` filled in."""
    translated = QCoreApplication.translate(CONTEXT, text)
    return translated.format(**values) if values else translated


def counted(number: int, one: str, many: str, **values: object) -> str:
    """Return the wording for one or for many, with ``{n}`` filled in."""
    return tr(one if number == 1 else many, n=number, **values)
