"""The Tasks page: table, toolbar, details, diagram."""
