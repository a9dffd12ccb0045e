"""LibreOffice Calc as the other program: it opens a file and saves it as another kind."""

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Convert = Callable[..., list[Path]]
LONGEST_S = 240


@pytest.fixture(scope="session")
def convert(tmp_path_factory: pytest.TempPathFactory) -> Convert:
    """Return a function that saves files as another kind, in one run of the program.

    The program has a profile of its own, so that it meets no other that runs.
    """
    profile = tmp_path_factory.mktemp("profile")

    def convert_files(kind: str, *files: Path, read_as: str = "") -> list[Path]:
        out = tmp_path_factory.mktemp("saved")
        command = ["soffice", f"-env:UserInstallation={profile.as_uri()}", "--headless"]
        if read_as:
            command.append(f"--infilter={read_as}")
        subprocess.run(
            [*command, "--convert-to", kind, "--outdir", str(out), *map(str, files)],
            capture_output=True,
            timeout=LONGEST_S,
            check=True,
        )
        ending = kind.partition(":")[0]
        saved = [out / f"{file.stem}.{ending}" for file in files]
        assert all(file.is_file() for file in saved)
        return saved

    return convert_files
