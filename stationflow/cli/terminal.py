"""What goes to the terminal: text in which no character of a name can steer it."""

import re

import typer

# Colours, the cursor and the title of the window are set by control characters. Half characters
# cannot be printed.
STEERING = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\ud800-\udfff]")
BREAKING = re.compile(rf"{STEERING.pattern}|[\n\u2028\u2029]")


def say(line: str, *, err: bool = False) -> None:
    """Print a text as one line, whatever the names in it hold; to standard error if asked."""
    typer.echo(one_line_of(line), err=err)


def say_block(lines: str, *, err: bool = False) -> None:
    """Print a text of several lines."""
    typer.echo(STEERING.sub(_shown, lines), err=err)


def one_line_of(text: str) -> str:
    r"""Return a text with its control characters to be seen; inside JSON it means the same.

    >>> one_line_of("Fit \x1b[2J\nbase")
    'Fit \\u001b[2J\\u000abase'
    """
    return BREAKING.sub(_shown, text)


def _shown(character: re.Match[str]) -> str:
    return f"\\u{ord(character[0]):04x}"
