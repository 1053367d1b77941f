"""A folder of modules is a registry: each file defines one constant and is found by itself."""

from __future__ import annotations

import functools
import importlib
import pkgutil
from typing import Any


def load_folder(package: str, constant: str) -> dict[str, Any]:
    """Return the `constant` of each module in the folder `package`, by module name in alphabetical order.

    Raises
    ------
    TypeError
        If a module of the folder does not define `constant`.
    """
    found = {}
    for name in _names(package):
        module = importlib.import_module(f"{package}.{name}")
        if not hasattr(module, constant):
            raise TypeError(f"{package}/{name}.py must define {constant}")
        found[name] = getattr(module, constant)
    return found


@functools.cache
def _names(package: str) -> tuple[str, ...]:
    """Return the modules of a folder; it is looked through once, as modules are imported once."""
    folder = importlib.import_module(package)
    return tuple(sorted(module.name for module in pkgutil.iter_modules(folder.__path__)))
