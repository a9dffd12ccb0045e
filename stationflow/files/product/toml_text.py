"""TOML text of tables: written in one fixed form, so that it reads well in a diff.

By hand, because `tomli-w` writes a row in one line or in many by its length, and moves lists of
short rows to the front: a longer remark would change the form of a whole table.
"""

import json
from collections.abc import Mapping, Sequence

Plain = str | int | float | bool | Sequence[str]


def write_toml(tables: Mapping[str, Mapping[str, Plain] | Sequence[Mapping[str, Plain]]]) -> bytes:
    r"""Return tables as TOML in UTF-8; a table with several rows becomes an array of tables.

    >>> write_toml({"demand": {"quantity": 450}, "lines": [{"name": "main"}]}).decode()
    '[demand]\nquantity = 450\n\n[[lines]]\nname = "main"\n'
    """
    blocks = []
    for name, rows in tables.items():
        if isinstance(rows, Mapping):
            blocks.append(_block(f"[{name}]", rows))
        else:
            blocks += [_block(f"[[{name}]]", row) for row in rows]
    return "\n".join(blocks).encode("utf-8")


def _block(heading: str, row: Mapping[str, Plain]) -> str:
    lines = [heading, *(f"{key} = {_value(value)}" for key, value in row.items())]
    return "\n".join(lines) + "\n"


def _value(value: Plain) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, str):
        # JSON escapes what TOML does, but for the delete character.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    return f"[{', '.join(_value(item) for item in value)}]"
