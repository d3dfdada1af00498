"""What the readers open and whom they call while they read documents full of paths and addresses.

`python -m benchmarks.malformed.watched_reading [NUMBER]` reads them in its own process, under an audit hook (PEP 578),
and prints one line for each thing that a reader had no reason to touch; none is as it should be.
"""

from __future__ import annotations

import os
import random
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Final

from api.readers.work import case_of, change_of, described_layout, layout_of, resin_of, sequence_of
from benchmarks.malformed import broken_text, nonsense
from benchmarks.malformed.changed_data import changed, with_all_texts
from benchmarks.malformed.originals import Original, originals
from optimiser.errors import InputError

_NUMBER: Final = 60
_WATCHED: Final = (
    "open",
    "os.",
    "shutil.",
    "socket.",
    "subprocess.",
    "urllib.",
    "ftplib.",
    "webbrowser.",
    "ctypes.dlopen",
)
_PORT: Final = 9


def main() -> int:
    """The code that the program ends with."""
    number = int(sys.argv[1]) if len(sys.argv) > 1 else _NUMBER
    rights = originals("layout_" + "0" * 32, "resin_" + "0" * 32)
    for original in rights:
        _read(original, dict(original.data))  # all that is loaded late is loaded now
    touched: list[str] = []
    watching = True

    def hook(event: str, arguments: tuple[Any, ...]) -> None:
        if watching and event.startswith(_WATCHED) and not _is_of_python(arguments):
            touched.append(f"{event} {arguments!r}")

    sys.addaudithook(hook)
    for original, data in _documents(rights, number):
        _read(original, data)
    Path(os.devnull).open("rb").close()
    watching = False
    if not touched.pop().startswith(f"open ('{os.devnull}'"):
        raise RuntimeError("the hook does not hear what it should")
    print(*touched, sep="\n", end="\n" if touched else "")
    return 1 if touched else 0


def _documents(rights: tuple[Original, ...], number: int) -> Iterator[tuple[Original, dict[str, Any]]]:
    for original in rights:
        for text in (*nonsense.PATHS, *nonsense.urls(_PORT)):
            yield original, with_all_texts(dict(original.data), text)
    for seed in range(number):
        dice = random.Random(seed)
        original = dice.choice(rights)
        yield original, changed(dict(original.data), dice, _PORT)


def _read(original: Original, data: dict[str, Any]) -> None:
    """As a reading process would for this request."""
    for read in _readings(original, data):
        try:
            read()
        except InputError:
            continue


def _readings(original: Original, data: dict[str, Any]) -> tuple[Callable[[], object], ...]:
    layout = broken_text.as_json(_CASE.data)
    if original.path.startswith("/v1/layouts"):
        text = broken_text.as_yaml(data)
        return (lambda: layout_of(text), lambda: layout_of(broken_text.as_json(data)), lambda: described_layout(text))
    if original.path.startswith("/v1/resins"):
        text = broken_text.as_yaml(data)
        return (lambda: resin_of(text), lambda: case_of(layout, resin=text, batch="B-9", changes=None))
    if original.path == "/v1/plans":
        return (lambda: case_of(layout, resin=None, batch=None, changes=data.get("changes")),)
    if original.path == "/v1/checks":
        return (lambda: sequence_of(data.get("sequence", {}), layout),)
    if original.path == "/v1/revalidations":
        return (lambda: change_of(data.get("change", {}), resin=None, batch=None),)
    return ()


def _is_of_python(arguments: tuple[Any, ...]) -> bool:
    """Modules and their data, wherever Python and this project are installed."""
    homes = (sys.prefix, sys.base_prefix, str(Path(__file__).parents[2]))
    named = arguments[0] if arguments else None
    return isinstance(named, str) and os.path.isabs(named) and os.path.normpath(named).startswith(homes)


_CASE: Final = originals("", "")[0]


if __name__ == "__main__":
    sys.exit(main())
