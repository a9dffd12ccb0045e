"""Small sheets of strangers, each with one trap, its truth and the answers that lead to it.

The sheets are invented. By hand: 1 TMU = 0.036 s, 1/100 min = 0.6 s, 1 min = 60 s.
"""

import io
from dataclasses import dataclass, field
from typing import Any

import xlsxwriter

Cells = tuple[tuple[object, ...], ...]


@dataclass(frozen=True)
class Trap:
    """A sheet, what is true of it, and what has to be answered."""

    name: str
    rows: Cells
    truth: dict[str, float]  # time in s, or quantity, by number; what is no task is not in it
    answers: dict[str, str] | None = None  # None: no choice settles it
    arrows: tuple[str, ...] = ()  # "10>20"; empty: not looked at
    hidden: tuple[int, ...] = ()  # columns hidden
    formats: dict[int, str] = field(default_factory=dict)  # number format by column
    struck: tuple[int, ...] = ()  # rows struck out, from 1
    comments: tuple[tuple[str, str], ...] = ()  # address and text

    @property
    def is_workbook(self) -> bool:
        """Whether only a workbook can hold the trap."""
        return bool(self.hidden or self.formats or self.struck or self.comments)


def table(text: str) -> Cells:
    """Return the cells of a table written with semicolons."""
    return tuple(tuple(line.split(";")) for line in text.strip().splitlines())


def workbook(trap: Trap) -> bytes:
    """Return a trap as a workbook; cells that are numbers are typed as such."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Sheet1")
        for row, cells in enumerate(trap.rows):
            for column, cell in enumerate(cells):
                look: dict[str, Any] = {}
                if row and column in trap.formats:
                    look["num_format"] = trap.formats[column]
                if row + 1 in trap.struck:
                    look["font_strikeout"] = True
                sheet.write(row, column, _typed(cell), book.add_format(look) if look else None)
        for address, text in trap.comments:
            sheet.write_comment(address, text)
        for column in trap.hidden:
            sheet.set_column(column, column, None, None, {"hidden": True})
    return out.getvalue()


def as_csv(rows: Cells) -> bytes:
    """Return rows as text."""
    return "\n".join(";".join(map(str, cells)) for cells in rows).encode()


def _typed(cell: object) -> object:
    """Return a number for the text of one."""
    try:
        return float(str(cell)) if str(cell)[:1].isdigit() else cell
    except ValueError:
        return cell


H = "No;Operation;Time s;Predecessors"
TRAPS = (
    # 1250 TMU = 45 s, 2500 TMU = 90 s, 850 TMU = 30.6 s
    Trap("a thousands point", table(
        "Nr;Arbeitsgang;Zeit TMU;Vorgänger\n10;Einlegen;850;\n20;Schrauben;1.250;10\n"
        "30;Prüfen;2.500;20"),
        {"10": 30.6, "20": 45, "30": 90}, {"comma:C": ","}),
    Trap("a second table in minutes", table(
        f"{H}\n10;Fit base;45;\n20;Fit lid;30;10\n;;;\nNo;Operation;Time min;Predecessors\n"
        "30;Test it;0.5;20\n40;Pack it;1;30"),
        {"10": 45, "20": 30, "30": 30, "40": 60}, {"time-unit:C:5": "min"}),
    Trap("a row of units", table(f"{H}\n;;min;\n10;Fit base;0.75;\n20;Fit lid;0.5;10"),
        {"10": 45, "20": 30}, {"time-unit:C": "min"}),
    Trap("a column of units", table(
        "No;Operation;Time (s);UoM;Predecessors\n10;Fit base;45;s;\n20;Fit lid;1.5;min;10\n"
        "30;Test it;30;s;20"),
        {"10": 45, "20": 90, "30": 30}, {"unit-column:D": "each-row"}),
    # 35 min / 100 = 0.35 min = 21 s
    Trap("minutes for 100 pieces", table(
        "Nr;Arbeitsgang;Zeit je 100 Stk. [min];Vorgänger\n10;Einlegen;35;\n20;Schrauben;50;10"),
        {"10": 21, "20": 30}, {"base:C": "divide"}),
    Trap("minutes,seconds", table(
        "Nr;Arbeitsgang;Zeit Min,Sek;Vorgänger\n10;Einlegen;1,15;\n20;Schrauben;0,45;10"),
        {"10": 75, "20": 45}, {"minutes-seconds:C": "m,ss"}),
    Trap("old and new", table(
        "No;Operation;Time old (s);Time new (s);Predecessors\n10;Fit base;99;45;\n"
        "20;Fit lid;98;30;10"),
        {"10": 45, "20": 30}, {"which-column:time": "D"}),
    Trap("each and total", table(
        "No;Operation;Qty;Time each s;Total time s;Predecessors\n10;Drive screws;4;6;24;\n"
        "20;Fit lid;1;9;9;10\n30;Set rivets;3;5;15;20"),
        {"10": 24, "20": 9, "30": 15}, {"which-column:time": "E"}),
    Trap("each times quantity", table(
        "No;Operation;Qty;Time each s;Total time s;Predecessors\n10;Drive screws;4;6;24;\n"
        "20;Fit lid;1;9;9;10\n30;Set rivets;3;5;15;20"),
        {"10": 24, "20": 9, "30": 15}, {"which-column:time": "D", "factor:C": "multiply"}),
    Trap("arrows under an unknown heading", table(
        "Nr;Bezeichnung;Zeit in Sek.;Vorg.\n10;Einlegen;45;\n20;Schrauben;30;10\n"
        "30;Prüfen;5;10, 20"),
        {"10": 45, "20": 30, "30": 5}, {"arrow-column:D": "predecessors"},
        ("10>20", "10>30", "20>30")),
    # 75/100 min = 45 s
    Trap("hundredths of a minute", table(
        "No;Operation;Std time 100ths of a minute;Predecessors\n10;Fit base;75;\n20;Fit lid;50;10"),
        {"10": 45, "20": 30}, {}),
    Trap("once in eight", table(
        "No;Operation;Time s;Frequency;Predecessors\n10;Fit base;40;1;\n20;Change reel;80;1/8;10"),
        {"10": 40, "20": 10}, {"factor:D": "multiply"}),
    Trap("times for ten pieces", table(
        "No;Operation;Time s;Base qty;Predecessors\n10;Fit base;450;10;\n20;Fit lid;300;10;10"),
        {"10": 45, "20": 30}, {"factor:D": "divide"}),
    Trap("a footer that names the unit", table(
        f"{H}\n10;Fit base;75;\n20;Fit lid;50;10\n;All times in HM;;"),
        {"10": 45, "20": 30}, {"time-unit:C": "cmin"}),
    Trap("sums by their number", table(
        f"{H}\n1;Base group;75;\n1.1;Fit base;45;\n1.2;Fit lid;30;1.1\n"
        "2;Test group;5;1\n2.1;Test it;5;1.2"),
        {"1.1": 45, "1.2": 30, "2.1": 5}, {"summaries": "leave-out"}, ("1.1>1.2", "1.2>2.1")),
    Trap("a total with a number", table(
        "Pos;Operation;t [min];after\n10;Fit base;0.5;\n20;Fit lid;0.25;10\n"
        "30;Test it;1;20\n99;Total;1.75;"),
        {"10": 30, "20": 15, "30": 60}, {"summaries": "leave-out"}),
    Trap("hours and minutes", table(
        "No;Operation;Time h:mm;Predecessors\n10;Fit base;0:02;\n20;Fit lid;0:01;10"),
        {"10": 120, "20": 60}, {"clock:C": "h:mm"}),
    Trap("a thousand nuts", table(
        "Teilenummer;Benennung;Menge;Einheit\nA1;Schraube;4;Stk\nA3;Mutter;1.000;Stk"),
        {"A1": 4, "A3": 1000}, {"comma:C": ","}),
    # 4 in each of 2 = 8, 1 in each of 2 = 2
    Trap("levels of a parts list", table(
        "Level;Part no;Description;Qty;Unit\n1;G1;Gear unit;2;pcs\n2;S1;Screw;4;pcs\n"
        "2;W1;Wheel;1;pcs\n1;S2;Nut;3;pcs"),
        {"G1": 2, "S1": 8, "W1": 2, "S2": 3}, {"levels:D": "multiply"}),
    Trap("quantities per 100", table(
        "Part no;Description;Qty per 100;Unit\nS1;Screw;400;pcs\nS2;Nut;200;pcs"),
        {"S1": 4, "S2": 2}, {"base:C": "divide"}),
    Trap("a number format that shows seconds", table(
        "No;Operation;Time min;Predecessors\n10;Fit base;12;\n20;Fit lid;30;10"),
        {"10": 12, "20": 30}, {"time-unit:C": "s"}, formats={2: '0 "s"'}),
    Trap("a hidden old column", table(
        "No;Operation;Time s;Time s;Predecessors\n10;Fit base;99;45;\n20;Fit lid;98;30;10"),
        {"10": 45, "20": 30}, {"which-column:time": "D"}, hidden=(2,)),
    Trap("walk, work and total", table(
        "No;Operation;Walk s;Work s;Total s;Predecessors\n10;Fit base;5;40;45;\n"
        "20;Fit lid;6;24;30;10"),
        {"10": 45, "20": 30}, {"which-column:time": "E"}),
    Trap("a row struck out", table(f"{H}\n10;Fit base;45;\n15;Old job;9;10\n20;Fit lid;30;10"),
        {"10": 45, "20": 30}, {"struck-rows": "leave-out"}, struck=(3,)),
    Trap("a comment that names the unit", table(f"{H}\n10;Fit base;0.75;\n20;Fit lid;0.5;10"),
        {"10": 45, "20": 30}, {"time-unit:C": "min"}, comments=(("C1", "Times in min"),)),
    Trap("a comment that names the base", table(f"{H}\n10;Fit base;450;\n20;Fit lid;300;10"),
        {"10": 45, "20": 30}, {"base:C": "divide"}, comments=(("C2", "Time for 10 pieces"),)),
    Trap("times shown in thousands", table(f"{H}\n10;Fit base;45000;\n20;Fit lid;30000;10"),
        {"10": 45, "20": 30}, {"shown-thousands:C": "shown"}, formats={2: "0,"}),
    Trap("quantities shown in thousands", table(
        "Part no;Description;Qty\nS1;Screw;4000\nS2;Nut;2000"),
        {"S1": 4000, "S2": 2000}, {"shown-thousands:C": "kept"}, formats={2: "#,##0.0,"}),
    # 3600 s / 80 = 45 s, 3600 s / 120 = 30 s
    Trap("pieces in an hour", table("No;Operation;pcs/h;After\n10;Fit base;80;\n20;Fit lid;120;10"),
        {"10": 45, "20": 30}, {"rate:C": "divide"}),
    Trap("pieces in an hour DE", table(
        "Nr;Arbeitsgang;Zeit [Stk/h];Vorgänger\n10;Einlegen;80;\n20;Schrauben;120;10"),
        {"10": 45, "20": 30}, {"rate:C": "divide"}),
    Trap("units per hour beside another time", table(
        "No;Operation;Time s;Units per hour;After\n10;Fit base;50;80;\n20;Fit lid;33;120;10"),
        {"10": 45, "20": 30}, {"rate:D": "divide"}),
    Trap("milliseconds", table("No;Operation;Time;After\n10;a;45000;\n20;b;30000;10"),
        {"10": 45, "20": 30}, {"time-unit:C": "ms"}),
    Trap("thousands of milliseconds", table(
        "No;Operation;Time [ms];After\n10;a;45,000;\n20;b;1,800,000;10"),
        {"10": 45, "20": 1800}, {}),
    Trap("a misspelt heading of times", table(
        "No;Operation;Tiem [s];After\n10;Fit base;45;\n20;Fit lid;30;10"),
        {"10": 45, "20": 30}, {"which-column:time": "C"}),
    Trap("a misspelt unit", table(
        "Nr;Arbeitsgang;Zeit (sekk);Vorgänger\n10;Einlegen;45;\n20;Schrauben;30;10"),
        {"10": 45, "20": 30}, {"time-unit:C": "s"}),
    Trap("a misspelt heading of predecessors", table(
        "No;Operation;Time s;Predecesors\n10;Fit base;45;\n20;Fit lid;30;10\n30;Test;5;10, 20"),
        {"10": 45, "20": 30, "30": 5}, {"arrow-column:D": "predecessors"},
        ("10>20", "10>30", "20>30")),
    # 4 in each of 2 = 8
    Trap("a misspelt heading of levels", table(
        "Levle;Part no;Description;Qty\n1;G1;Gear;2\n2;S1;Screw;4\n1;S2;Nut;3"),
        {"G1": 2, "S1": 8, "S2": 3}, {"levels:D": "multiply"}),
    Trap("a misspelt heading of quantities", table(
        "Part no;Description;Quantty\nG1;Gear;2\nS1;Screw;4\nS2;Nut;3"),
        {"G1": 2, "S1": 4, "S2": 3}, {"which-column:quantity": "C"}),
)  # fmt: skip
