"""The tables a product is kept in: one schema for product folder and product workbook."""

from stationflow.model.schema import flow_tables as flow
from stationflow.model.schema import header_tables as header
from stationflow.model.schema import task_tables as tasks
from stationflow.model.schema.columns import Table

TABLES: tuple[Table, ...] = (
    header.PRODUCT,
    tasks.TASKS,
    tasks.STEPS,
    header.PARTS,
    tasks.PART_USES,
    tasks.TOOLS,
    tasks.CHECKS,
    tasks.CAUTIONS,
    header.CALENDAR,
    header.SHIFTS,
    header.BREAKS,
    header.DEMAND,
    header.REACH,
    header.LINES,
    flow.JOINS,
    header.STATIONS,
    header.MODELS,
    tasks.MODEL_TIMES,
    tasks.STATION_TIMES,
    tasks.LIMITS,
    tasks.QUALITY,
    tasks.LIFTS,
    header.EQUIPMENT,
    flow.MACHINES,
    header.LAGS,
    flow.PACKING,
    flow.FAULTS,
    flow.TALLY,
    flow.COSTS,
    header.PICTURES,
)
"""All tables, in the order an engineer meets them."""

TABLE: dict[str, Table] = {table.name: table for table in TABLES}
"""The tables by name."""

TABLE_AT: dict[str, Table] = {table.path: table for table in TABLES}
"""The tables by the way to their rows from the product."""

TABLE_OF: dict[type, Table] = {table.record: table for table in TABLES}
"""The tables by the data class of their rows."""
