"""The last door: an unforeseen error becomes one sentence, its trace goes to a log file."""

import traceback
from datetime import UTC, datetime
from pathlib import Path
from secrets import token_hex

PRIVATE = 0o600  # the rights of a file for its user alone


def report_trouble(problem: BaseException) -> str:
    """Write the trace of an unforeseen error to the log file and return what to tell the person."""
    number = token_hex(3).upper()
    trace = "".join(traceback.format_exception(problem))
    entry = f"{datetime.now(UTC).isoformat()} trouble {number}\n{trace}\n"
    try:
        log = _log_file()
        log.touch(PRIVATE)  # a trace holds what somebody typed
        with log.open("a", encoding="utf-8") as out:
            log.chmod(PRIVATE)
            out.write(entry)
        where = f"the details are in {log}"
    except OSError:
        where = "the log file could not be written"
    return f"Something unforeseen happened (number {number}); your data is safe, and {where}."


def _log_file() -> Path:
    """Return the log file of this user, its folder made."""
    from platformdirs import user_log_path

    folder = Path(user_log_path("stationflow", appauthor=False))
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder / "trouble.log"
