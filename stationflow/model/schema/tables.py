"""The tables a product is kept in: one schema for product folder and product workbook."""

from stationflow.model.schema.columns import Table
from stationflow.model.schema.header_tables import HEADER_TABLES
from stationflow.model.schema.task_tables import TASK_TABLES

ORDER = (
    "product",
    "tasks",
    "steps",
    "parts",
    "part_uses",
    "tools",
    "checks",
    "cautions",
    "calendar",
    "shifts",
    "breaks",
    "demand",
    "reach",
    "lines",
    "stations",
    "models",
    "model_times",
    "limits",
    "quality",
    "equipment",
    "lags",
    "pictures",
)
"""The tables in the order an engineer meets them."""

TABLE: dict[str, Table] = {table.name: table for table in (*HEADER_TABLES, *TASK_TABLES)}
"""The tables by name."""

TABLES: tuple[Table, ...] = tuple(TABLE[name] for name in ORDER)
"""All tables."""

TABLE_AT: dict[str, Table] = {table.path: table for table in TABLES}
"""The tables by the way to their rows from the product."""

TABLE_OF: dict[type, Table] = {table.record: table for table in TABLES}
"""The tables by the data class of their rows."""
