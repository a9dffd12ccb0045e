"""``python -m stationflow``: the command line."""

from stationflow.cli import main

main()
