"""What a page may ask of its window beside store and jobs: actions, settings, looks, and a line to say something in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol, runtime_checkable

if TYPE_CHECKING:
    from collections.abc import Callable

    from app.actions import Actions, State
    from app.settings import Settings
    from app.status import StatusLine
    from app.theme import Themes


@dataclass(frozen=True, slots=True)
class Services:
    """Handed to pages that have `bind`."""

    actions: Actions
    settings: Settings
    themes: Themes
    status: StatusLine
    tell: Callable[[str], None]
    state_changed: Callable[[], None]


@runtime_checkable
class Bindable(Protocol):
    """A page that has actions of its own."""

    def bind(self, services: Services) -> None:
        """Connect the page's actions; called once, after it is made."""

    def state(self, state: State) -> State:
        """Return the state with what only this page knows."""
