"""A machine of one's own in the making: from a few answers and the nearest built-in file. No Qt."""

from __future__ import annotations

from typing import Any

from kerfproof.errors import KerfproofError
from kerfproof_app.shop import defaults, store
from kerfproof_app.shop.store import ShopFile
from kerfproof_app.window.shop.shop_document import MACHINES, Keys, ShopDocument, free_name

START: Keys = ("torch", "start")
TOUCH_OFF: Keys = ("touch_off", "kind")
UNITS: Keys = ("control", "units")

_FLOAT = (("touch_off", "float"), ("touch_off", "float_stroke"))
_FIXED: dict[Keys, Any] = {
    ("torch", "preload"): "0 mm",
    ("touch_off", "fast_feed"): "300 mm/min",
    ("touch_off", "slow_feed"): "120 mm/min",
}
"""What a fixed head needs: its tip is pressed into the plate by whatever runs over. Common practice, from memory."""


class MachineDraft:
    """Answers of the person, and the machine file they make. The text is made anew at every answer."""

    def __init__(self, inches: bool = False) -> None:
        self.answers: dict[Keys, Any] = {
            START: "contact",
            TOUCH_OFF: "float",
            UNITS: "inch" if inches else "mm",
        }
        self.name = free_name(MACHINES.folder, "table")
        self.document = self._make()

    def answer(self, keys: Keys, value: Any) -> None:
        """Take an answer; lengths of answers stay as typed, all else follows the nearest built-in."""
        self.answers[keys] = value
        self.document = self._make()

    def call(self, name: str) -> None:
        """Give the machine its name."""
        self.name = name.strip()
        self.document = self._make()

    @property
    def floats(self) -> bool:
        """Whether the head floats."""
        return bool(self.answers[TOUCH_OFF] == "float")

    def _make(self) -> ShopDocument:
        inch, floats = self.answers[UNITS] == "inch", self.floats
        base = ("contact-float-inch" if inch else "contact-float-mm") if floats else "pilot-ohmic-mm"
        text = store.shop_file(MACHINES.folder, base).text
        where = str(store.own_path(MACHINES.folder, self.name or "my-table"))
        document = ShopDocument(MACHINES, ShopFile(self.name, text, "own", where))
        values: dict[Keys, Any] = {("name",): self.name, ("title",): "", ("note",): "", ("z", "homed"): False}
        values |= {} if floats else _FIXED
        if self.answers[TOUCH_OFF] == "none":
            values |= {("touch_off", "sense_on"): "", ("touch_off", "sense_off"): ""}
        values |= {keys: value for keys, value in self.answers.items() if floats or keys not in _FLOAT}
        document.set_all(values)
        return document

    def mistakes(self) -> dict[str, str]:
        """Return what is still wrong, by key path; the name is checked as well."""
        found = dict(self.document.mistakes)
        plain = self.name and all(c.isalnum() or c in "-_." for c in self.name) and not self.name.startswith(".")
        if not plain:
            found["name"] = "use letters, digits and - for the name"
        elif store.own_path(MACHINES.folder, self.name).exists():
            found["name"] = f"{self.name} is there already, choose another name"
        return found

    def write(self) -> ShopFile:
        """Write the machine, make it the person's default, and return its file.

        Raises
        ------
        KerfproofError
            If something is still wrong with it, or it can't be written.
        """
        wrong = self.mistakes()
        if wrong:
            path, sentence = next(iter(wrong.items()))
            raise KerfproofError(f"{path}: {sentence}")
        store.write_shop_file(MACHINES.folder, self.name, self.document.text)
        defaults.set_settings(machine=self.name)
        return store.shop_file(MACHINES.folder, self.name)
