"""A folder of modules is a registry: each file, in its sub-folders too, defines one constant and is found."""

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
    for name in sorted(_names(package), key=lambda name: name.rpartition(".")[2]):
        module = importlib.import_module(name)
        if not hasattr(module, constant):
            raise TypeError(f"{name} must define {constant}")
        found[name.rpartition(".")[2]] = getattr(module, constant)
    return found


@functools.cache
def _names(package: str) -> tuple[str, ...]:
    """Return the modules of a folder and of those in it; it is looked through once, as modules are imported once."""
    folder = importlib.import_module(package)
    found = pkgutil.walk_packages(folder.__path__, f"{package}.")
    return tuple(module.name for module in found if not module.ispkg)
