"""How much is read and kept: one set of limits for reading, balancing and cards.

What goes beyond one is refused, or left out, in a sentence with what, where, value, limit and what
to do. Within them every file of under 20 MB is opened and balanced by the rules in 10 s of
processor time and 1.5 GB.
"""

MOST_TASKS = 5_000
"""What can be balanced: the sets of tasks that must be before each need memory by its square."""
MOST_ARROWS = 100_000
"""Task numbers named by tasks of one product, as predecessors or otherwise."""
MOST_STATIONS = MOST_TASKS
"""The highest number of a station: more stations than tasks do no work."""
MOST_OPERATORS = 99  # at one station of a plan
MOST_ALIKE = 1_000
"""Copies of a line or station, operators of a station."""
MOST_WAITING = 100_000
"""Places for waiting units at one spot, carriers of a line, positions of a rack."""
MOST_ITEMS = 5_000  # task numbers in one cell
MOST_ROWS = 20_000
"""Rows of a table where nothing smaller is said in `ROWS`."""
ROWS = {
    "tasks": MOST_TASKS,
    "limits": MOST_TASKS,
    "quality": MOST_TASKS,
    "lifts": MOST_TASKS,
    "lags": MOST_TASKS,
    "stations": MOST_STATIONS,
    "pictures": 2_000,
    "equipment": 1_000,
    "lines": 200,
    "joins": 500,
    "machines": 1_000,
    "faults": 2_000,
    "models": 50,
    "shifts": 50,
    "breaks": 500,
}
"""Rows of single tables, by their name in the schema."""


def most_rows(table: str) -> int:
    """Return how many rows of a table are read, by its name in the schema."""
    return ROWS.get(table, MOST_ROWS)


# Files of a product, in bytes.
LARGEST_HEADER = 2_000_000
LARGEST_TABLE = 20_000_000
LARGEST_PLAN = 20_000_000
LARGEST_INSTANCE = 20_000_000  # the largest published one has some 20 000
MOST_LINES = 2 * (MOST_TASKS + MOST_ARROWS)  # of an instance
MOST_PLANS = 1_000

# Texts, in characters.
LONGEST_TEXT = 32_767  # what one cell of a workbook can hold

# Texts on a station card, in characters. An A4 page holds some 4,000 letters; setting text takes
# time and memory by more than its length.
LONGEST_ON_CARD = 6_000
LONGEST_NAME_ON_CARD = 500
MOST_LINES_ON_CARD = 200
MOST_MARKS_ON_LETTER = 8  # languages need up to 4; setting 3,000 took 5.4 GB
LONGEST_CODE = 331
"""Bytes of the code on a card: version 13 at level M of ISO/IEC 18004, whose 69 modules are 0.3 mm
wide on the card, about what a telephone reads."""

# Pictures.
LARGEST_PICTURE = 30_000_000  # bytes
LARGEST_PICTURES = 400_000_000  # bytes of all pictures of a product
MOST_PIXELS = 40_000_000
MOST_PIXELS_OF_ALL = 400_000_000
"""Pixels that are decoded for all pictures of a product: some 20 million take a second."""

# Packed workbooks, our own and those of strangers.
LARGEST_WORKBOOK = 200_000_000  # bytes, pictures included
MOST_PARTS = 5_000
LARGEST_PART = 100_000_000  # bytes of one unpacked part that is no picture
LARGEST_UNPACKED = 400_000_000  # bytes of all parts that are no pictures
MOST_ELEMENTS = 2_500_000  # of one part; a cell has two or three
MOST_LOOKS = 500_000  # elements of the part with the styles
MOST_SHEETS = 100
MOST_SHARED_TEXTS = 300_000
MOST_SHARED_ELEMENTS = 1_000_000
MOST_STYLES = 70_000  # a workbook may have 65,490
MOST_MERGED = 5_000

# Sheets and text tables, our own and those of strangers.
MOST_SHEET_ROWS = 25_000
MOST_SHEET_COLUMNS = 256
MOST_CELLS = 600_000  # filled ones of one file
MOST_PLACES = 1_000_000  # rows and cells, empty ones included, that are looked at
MOST_SHEET_TEXT = 50_000_000  # characters of one file
