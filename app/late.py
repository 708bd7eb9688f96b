"""Libraries loaded after the window is on the screen: an empty box is drawn without numpy and shapely.

`put_off` imports modules of `layout` that name those libraries at their head, with stand-ins in their place. A stand-in
fetches its library when it is first used. `fetch` loads them in a thread; a user who is quicker waits for it.
"""

from __future__ import annotations

import sys
from importlib import import_module
from threading import Thread
from types import ModuleType
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Iterable

LIBRARIES: Final = ("numpy", "shapely")


class StandIn(ModuleType):
    """Behaves as a library that is imported when the first of its names is asked for."""

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)
        if sys.modules.get(self.__name__) is self:
            # a module used it while it was imported
            del sys.modules[self.__name__]
        # the import's own lock lets a second thread wait until the first has imported all
        library = import_module(self.__name__)
        self.__dict__.update(vars(library))
        return getattr(library, name)


def put_off(modules: Iterable[str]) -> None:
    """Import modules; libraries they name that are not loaded yet are loaded when first used."""
    absent = [name for name in LIBRARIES if name not in sys.modules]
    sys.modules.update((name, StandIn(name)) for name in absent)
    try:
        for module in modules:
            import_module(module)
    finally:
        for name in absent:
            if isinstance(sys.modules.get(name), StandIn):
                del sys.modules[name]


def fetch(more: Iterable[str] = ()) -> Thread:
    """Load the libraries in a thread of their own, which lets the window answer meanwhile; return the thread.

    Parameters
    ----------
    more : iterable of str
        Modules to import after them, that will be asked for sooner or later: pages not opened yet.
    """
    thread = Thread(target=_fetch, args=((*LIBRARIES, *more),), name="late libraries", daemon=True)
    thread.start()
    return thread


def _fetch(names: tuple[str, ...]) -> None:
    for name in names:
        import_module(name)
