"""Files that are written whole or not at all: a failed run leaves what was there."""

import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path


def write_whole(path: Path, data: bytes) -> None:
    """Write a file; one that a link of this name points to is written in its place.

    Raises `OSError` if it cannot be written.
    """
    target = path.resolve()
    write_inside(target.parent, {target.name: data})


def write_inside(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files of a folder, by their names in it; a link of a name is replaced, never followed.

    All are written beside their places and then renamed, so that a full disk changes none. A file
    keeps its rights.

    Raises `OSError` if one cannot be written.
    """
    with tempfile.TemporaryDirectory(dir=folder, prefix=".") as name:
        drafts = {Path(name) / str(n): folder / file for n, file in enumerate(files)}
        for draft, data in zip(drafts, files.values(), strict=True):
            draft.write_bytes(data)
        for draft, path in drafts.items():
            with suppress(FileNotFoundError):
                draft.chmod(path.lstat().st_mode & 0o777)
            draft.replace(path)
