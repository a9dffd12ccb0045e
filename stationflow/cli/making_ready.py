"""``python -m stationflow.cli.making_ready search|simulation``: compiled before it is asked for.

The app starts it beside itself. It steps back behind everything else, and ends at once when
standard input is closed, which the end of the app does.
"""

import os
import sys
import threading

NICENESS = 15


def main() -> None:
    """Make the exact search or the simulation ready."""
    threading.Thread(target=_end_with_the_app, daemon=True).start()
    if hasattr(os, "nice"):
        os.nice(NICENESS)
    if sys.argv[1] == "search":
        from stationflow.balancing.methods.exact import prepare_exact

        prepare_exact(lambda: None)
    else:
        from stationflow.line.simulation.flow_compiled import prepare

        prepare()


def _end_with_the_app() -> None:
    while sys.stdin.buffer.read(1):
        pass
    os._exit(1)  # whatever is being compiled


if __name__ == "__main__":
    main()
