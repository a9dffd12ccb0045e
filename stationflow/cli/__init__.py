"""The command line: arguments in, one action, text or JSON out."""

from stationflow.cli.commands import main

__all__ = ["main"]
