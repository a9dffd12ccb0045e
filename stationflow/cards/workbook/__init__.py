"""Cards as a workbook: a sheet for each card, its styles, and the room its texts take."""
