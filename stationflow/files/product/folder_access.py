"""Reading inside one folder, and nowhere else."""

import stat
from collections.abc import Iterator
from pathlib import Path

from stationflow.errors import SourceError
from stationflow.files.product.table_reading import Found
from stationflow.model import error
from stationflow.model.schema.columns import Table


def read_inside(
    folder: Path, name: str, most_bytes: int, found: Found, *tables: Table
) -> bytes | None:
    """Return the bytes of a plain file in a folder; None: there is none, or it is refused.

    Links, devices and files that are too large are refused with a finding. `tables`: those that
    stand in the file.
    """
    path = folder / name
    try:
        mode = path.lstat().st_mode
        if not stat.S_ISREG(mode):
            kind = "a link" if stat.S_ISLNK(mode) else "no plain file"
            hint = "Put the file itself into the folder."
            refusal = error("file-broken", name, f"It is {kind}; it was not read.", hint)
            found.miss(refusal, *tables)
            return None
        with path.open("rb") as file:
            data = file.read(most_bytes + 1)
    except FileNotFoundError:
        return None
    except OSError as cause:
        found.miss(error("file-broken", name, f"It cannot be read ({cause.strerror})."), *tables)
        return None
    if len(data) > most_bytes:
        message = f"It is larger than {most_bytes / 1_000_000:g} MB; it was not read."
        found.miss(error("file-too-large", name, message), *tables)
        return None
    return data


def source_bytes(path: Path, most_bytes: int) -> bytes:
    """Return the bytes of a file; raises `SourceError` if it cannot be read or is too large."""
    try:
        with path.open("rb") as file:
            data = file.read(most_bytes + 1)
    except OSError as cause:
        raise SourceError(str(path), f"it cannot be read ({cause.strerror}).") from cause
    if len(data) > most_bytes:
        raise SourceError(str(path), f"it is larger than {most_bytes // 1_000_000} MB.")
    return data


def names_inside(folder: Path, name: str, found: Found) -> Iterator[str]:
    """Yield the names in a folder below `folder`, sorted; a link to a folder is refused."""
    inner = folder / name
    if inner.is_symlink():
        hint = "Put the folder itself into the product folder."
        found.add(error("file-broken", name, "It is a link; it was not read.", hint))
    elif inner.is_dir():
        try:
            yield from sorted(entry.name for entry in inner.iterdir())
        except OSError as cause:
            found.add(error("file-broken", name, f"It cannot be read ({cause.strerror})."))
