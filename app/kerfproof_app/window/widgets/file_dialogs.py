"""The desktop's dialogs for files: none locks the window."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget


def ask_where(
    parent: QWidget,
    title: str,
    start: Path,
    then: Callable[[Path, str], object],
    *,
    filters: Sequence[str] = (),
    confirms: bool = True,
) -> None:
    """Ask where a file is to be written, at first `start`; `then` takes the path and the filter chosen.

    Where the file before is kept as a backup, the dialog need not `confirm` that it is replaced.
    """
    dialog = QFileDialog(parent, title, str(start.parent))
    dialog.setAcceptMode(QFileDialog.AcceptMode.AcceptSave)
    dialog.setOption(QFileDialog.Option.DontConfirmOverwrite, not confirms)
    if filters:
        dialog.setNameFilters(list(filters))
    dialog.selectFile(start.name)
    dialog.fileSelected.connect(lambda name: then(Path(name), dialog.selectedNameFilter()))
    dialog.open()


def ask_which(
    parent: QWidget, title: str, folder: Path, words: str, then: Callable[[list[Path]], object], *, several: bool = True
) -> None:
    """Ask which files are to be opened; `words` says which kinds there are."""
    dialog = QFileDialog(parent, title, str(folder), words)
    dialog.setFileMode(QFileDialog.FileMode.ExistingFiles if several else QFileDialog.FileMode.ExistingFile)
    dialog.filesSelected.connect(lambda names: then([Path(name) for name in names]))
    dialog.open()
