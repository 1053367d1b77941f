"""The shop as its files say: the machine and the chart that a job names."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from kerfproof_app.shop import defaults, store
from kerfproof_app.shop.store import ShopFile

if TYPE_CHECKING:  # what reads their files and the planner is loaded by those who use it, not by those who list names
    from kerfproof.api import Shop
    from kerfproof.shop.chart import CutChart
    from kerfproof.shop.profile import Machine

DEFAULT_MACHINE = "contact-float-inch"
DEFAULT_CHART = "air-50a"


def machine_named(name: str) -> Machine:
    """Return the machine of this name or file.

    Raises
    ------
    KerfproofError
        If there is none, its file has mistakes or it names no control that there is.
    """
    return machine_in(store.shop_file("machines", name))


def machine_in(file: ShopFile) -> Machine:
    """Return the machine of a file. Raises KerfproofError as `machine_named`."""
    from kerfproof.api import read_machine

    return read_machine(file.text, file.where)


def chart_named(name: str) -> CutChart:
    """Return the cut chart of this name or file. Raises KerfproofError if there is none or it has mistakes."""
    from kerfproof.shop.chart_file import parse_chart

    file = store.shop_file("charts", name)
    return replace(parse_chart(file.text, file.where), name=file.name)


def usual_chart(machine: Machine) -> str:
    """Return the name of the chart to take where none is named: the person's own default, else that of the torch."""
    return defaults.settings().chart or machine.chart or DEFAULT_CHART


def shop_for(machine: str, chart: str) -> Shop:
    """Return the machine and the chart of these names or files.

    Raises
    ------
    KerfproofError
        If one is missing or has mistakes.
    """
    from kerfproof.api import Shop

    return Shop(machine_named(machine), chart_named(chart))
