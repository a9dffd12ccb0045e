"""Files made to hurt: huge, deep, packed, broken. Each maker writes one below a folder."""

import io
import random
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterable
from pathlib import Path

HEADER = """[product]
code = "H-1"
[demand]
quantity = 450
period = "day"
[calendar]
days = ["mon", "tue"]
[[shifts]]
name = "early"
start = "06:00"
end = "14:00"
[[lines]]
name = "main"
"""
TASKS = "number,name,time_s,predecessors\n"
SHEET = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
TEN = "".join(f"{n},Fit {n},{n % 9 + 1},{n - 1 if n > 1 else ''}\n" for n in range(1, 11))

Maker = Callable[[Path], Path]
MAKERS: dict[str, Maker] = {}
"""The files by name; each maker writes its own below a folder and returns its path."""


def maker(make: Maker) -> Maker:
    """Take a maker in."""
    MAKERS[make.__name__] = make
    return make


def folder(
    path: Path, *, header: str = HEADER, tasks: str = TASKS + TEN, **tables: str | bytes
) -> Path:
    """Write a product folder; `tables` are further CSV tables by name."""
    path.mkdir(parents=True)
    (path / "product.toml").write_text(header)
    for name, text in {"tasks": tasks, **tables}.items():
        content = text if isinstance(text, bytes) else text.encode()
        (path / f"{name}.csv").write_bytes(content)
    return path


def rows(count: int, line: Callable[[int], str]) -> str:
    """Return so many lines of a table, counted from 1."""
    return "\n".join(map(line, range(1, count + 1))) + "\n"


def chain(count: int, name: str = "Fit") -> str:
    """Return a table of so many tasks, each after the three before it."""
    return TASKS + rows(
        count, lambda n: f"{n},{name} {n},{n % 50 + 1},{'; '.join(map(str, before(n)))}"
    )


def before(n: int) -> Iterable[int]:
    """Return the numbers of three tasks at most that come before one."""
    return sorted({max(1, n - 7 * step) for step in (1, 2, 3)} - {n})


def png(width: int, height: int) -> bytes:
    """Return a picture of one colour, which packs to very little."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        )

    packed = zlib.compressobj(9)
    row = b"\0" * ((width + 7) // 8 + 1)
    data = b"".join(packed.compress(row) for _ in range(height)) + packed.flush()
    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def package(path: Path, parts: dict[str, Iterable[str] | str]) -> Path:
    """Write a packed workbook from its parts, each a text or the pieces of one."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as packed:
        for name, text in parts.items():
            with packed.open(name, "w", force_zip64=True) as part:
                for piece in [text] if isinstance(text, str) else text:
                    part.write(piece.encode())
    return path


def workbook(
    path: Path,
    data: Iterable[str] | str,
    title: str = "Tasks",
    **others: Iterable[str] | str,
) -> Path:
    """Write a workbook of one sheet around the rows of its data; `others`: shared, styles."""
    main = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    kinds = {"worksheet": "worksheets/sheet1.xml", "sharedStrings": "sharedStrings.xml",
             "styles": "styles.xml"}  # fmt: skip
    relations = "".join(
        f'<Relationship Id="r{at}" Type="{main}/{kind}" Target="{target}"/>'
        for at, (kind, target) in enumerate(kinds.items())
    )
    space = 'xmlns="http://schemas.openxmlformats.org/package/2006/'
    types = "".join(
        f'<Override PartName="/xl/{part}" ContentType="application/vnd.openxmlformats-'
        f'officedocument.spreadsheetml.{kind}+xml"/>'
        for part, kind in (
            ("workbook.xml", "sheet.main"),
            ("worksheets/sheet1.xml", "worksheet"),
            ("sharedStrings.xml", "sharedStrings"),
            ("styles.xml", "styles"),
        )
    )
    return package(
        path,
        {
            "[Content_Types].xml": f'<Types {space}content-types"><Default Extension="rels" '
            'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
            f"{types}</Types>",
            "_rels/.rels": f'<Relationships {space}relationships"><Relationship Id="r" '
            f'Type="{main}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
            "xl/_rels/workbook.xml.rels": f'<Relationships {space}relationships">{relations}'
            "</Relationships>",
            "xl/workbook.xml": f'<workbook {SHEET} xmlns:r="{main}"><sheets>'
            f'<sheet name="{title}" sheetId="1" r:id="r0"/></sheets></workbook>',
            "xl/worksheets/sheet1.xml": [
                f"<worksheet {SHEET}><sheetData>",
                *([data] if isinstance(data, str) else data),
                "</sheetData></worksheet>",
            ],
            "xl/sharedStrings.xml": others.get("shared", f"<sst {SHEET}/>"),
            "xl/styles.xml": others.get("styles", f"<styleSheet {SHEET}/>"),
        },
    )


def cells(*texts: object) -> str:
    """Return a row of a sheet."""
    each = (f'<c t="inlineStr"><is><t>{text}</t></is></c>' for text in texts)
    return f"<row>{''.join(each)}</row>"


HEADINGS = cells("Number", "Name", "Time (s)", "Predecessors")


def pieces(text: str, count: int, size: int = 1000) -> Iterable[str]:
    """Yield a text very many times, in larger pieces."""
    for _ in range(count // size):
        yield text * size


# Folders


@maker
def folder_of_5_000_tasks(path: Path) -> Path:
    return folder(path, tasks=chain(5_000))


@maker
def folder_of_50_000_tasks(path: Path) -> Path:
    return folder(path, tasks=chain(50_000))


@maker
def folder_of_400_000_tasks(path: Path) -> Path:
    return folder(path, tasks=TASKS + rows(400_000, lambda n: f"{n},F,1,"))


@maker
def folder_of_dense_arrows(path: Path) -> Path:
    every = ["; ".join(map(str, range(1, n))) for n in range(1, 1_001)]
    return folder(path, tasks=TASKS + rows(3_000, lambda n: f"{n},F,1,{every[min(n, 999)]}"))


@maker
def folder_of_one_circle(path: Path) -> Path:
    return folder(path, tasks=TASKS + rows(5_000, lambda n: f"{n},F,1,{n % 5_000 + 1}"))


@maker
def folder_of_many_circles(path: Path) -> Path:
    return folder(path, tasks=TASKS + rows(5_000, lambda n: f"{n},F,1,{n + 1 if n % 2 else n - 1}"))


@maker
def folder_of_unknown_numbers(path: Path) -> Path:
    names = "; ".join(f"x{n}" for n in range(800))
    return folder(path, tasks=TASKS + rows(4_000, lambda n: f"{n},F,1,{names}"))


@maker
def folder_of_equal_numbers(path: Path) -> Path:
    return folder(path, tasks=TASKS + rows(50_000, lambda n: "10,F,1,10"))


@maker
def folder_of_broken_times(path: Path) -> Path:
    return folder(path, tasks=TASKS + rows(50_000, lambda n: f"{n},F,{'9' * 50}s,"))


@maker
def folder_of_wide_rows(path: Path) -> Path:
    return folder(path, tasks=TASKS + rows(1_000, lambda n: f"{n},F,1" + "," * 15_000))


@maker
def folder_of_newlines(path: Path) -> Path:
    return folder(path, tasks=TASKS + "\n" * 15_000_000)


@maker
def folder_of_quotes(path: Path) -> Path:
    return folder(path, tasks=TASKS + '1,"' + 'x""' * 5_000_000)


@maker
def folder_of_long_texts(path: Path) -> Path:
    return folder(path, tasks=TASKS + rows(600, lambda n: f"{n},{'W' * 32_000},1,"))


@maker
def folder_of_steps(path: Path) -> Path:
    return folder(path, tasks=chain(5_000), steps="task,text\n" + rows(
        900_000, lambda n: f"{n % 5_000 + 1},Press {n}"))  # fmt: skip


@maker
def folder_of_a_far_station(path: Path) -> Path:
    return folder(path, limits="task,station\n3,1000000\n")


@maker
def folder_of_a_far_station_set(path: Path) -> Path:
    return folder(path, stations="line,number,operators\nmain,900000000,900000000\n")


@maker
def folder_of_tasks_kept_apart(path: Path) -> Path:
    names = "; ".join(map(str, range(1, 400)))
    return folder(
        path,
        tasks=TASKS + rows(5_000, lambda n: f"{n},F,{n % 50 + 1},"),
        limits="task,apart\n" + rows(5_000, lambda n: f"{n},{names}"),
    )


@maker
def folder_of_many_groups(path: Path) -> Path:
    return folder(
        path,
        tasks=TASKS + rows(5_000, lambda n: f"{n},F,{n % 5 + 1},"),
        limits="task,together,equipment\n" + rows(5_000, lambda n: f"{n},g{n // 3},e{n}"),
    )


@maker
def folder_of_times_between(path: Path) -> Path:
    return folder(
        path,
        tasks=chain(5_000),
        lags="before,after,shortest_s\n" + rows(100_000, lambda n: f"{n % 4_999 + 1},5000,3"),
    )


@maker
def header_of_20_000_shifts(path: Path) -> Path:
    shift = '[[shifts]]\nname = "s{}"\nstart = "06:00"\nend = "14:00"\n'
    return folder(path, header=HEADER + "".join(shift.format(n) for n in range(20_000)))


@maker
def header_of_20_000_breaks(path: Path) -> Path:
    text = '[[breaks]]\nshift = "early"\nname = "b{}"\nminutes = 1\n'
    return folder(path, header=HEADER + "".join(text.format(n) for n in range(20_000)))


@maker
def header_of_20_000_lines(path: Path) -> Path:
    text = '[[lines]]\nname = "l{}"\nfeeds = "l{}"\njoin = "1"\n'
    return folder(path, header=HEADER + "".join(text.format(n, n - 1) for n in range(20_000)))


@maker
def header_of_20_000_models(path: Path) -> Path:
    text = '[[models]]\nname = "m{}"\nshare = 0.001\n'
    return folder(
        path,
        header=HEADER + "".join(text.format(n) for n in range(20_000)),
        tasks=chain(5_000),
        model_times="task,model,time_s\n" + rows(20_000, lambda n: f"{n % 5_000 + 1},m{n},3"),
    )


@maker
def header_of_deep_lists(path: Path) -> Path:
    return folder(path, header="x = " + "[" * 900_000)


@maker
def header_of_many_tables(path: Path) -> Path:
    return folder(path, header=HEADER + "".join(f"[x{n}]\n" for n in range(150_000)))


@maker
def header_of_many_dots(path: Path) -> Path:
    return folder(path, header=HEADER + "[" + "a." * 900_000 + "a]\nb = 1\n")


@maker
def header_of_many_long_keys(path: Path) -> Path:
    deep = ".".join("a" * 200)
    return folder(path, header="".join(f"{deep}.k{n} = 1\n" for n in range(4_000)))


@maker
def header_of_a_long_number(path: Path) -> Path:
    return folder(path, header=HEADER.replace("450", "4" * 1_900_000))


@maker
def header_of_a_long_list(path: Path) -> Path:
    text = '[[lines]]\nname = "a"\ntitle = [' + "1," * 800_000 + "]\n"
    return folder(path, header=HEADER + text)


@maker
def folder_of_20_great_pictures(path: Path) -> Path:
    made = folder(path)
    (made / "pictures").mkdir()
    great = png(6_300, 6_300)
    for n in range(20):
        (made / f"pictures/block{n}.png").write_bytes(great)
    return made


@maker
def folder_of_2_500_pictures(path: Path) -> Path:
    made = folder(path)
    (made / "pictures").mkdir()
    for n in range(2_500):
        (made / f"pictures/p{n}.png").write_bytes(png(400, 400))
    return made


@maker
def folder_of_a_picture_beyond(path: Path) -> Path:
    made = folder(path)
    (made / "pictures").mkdir()
    (made / "pictures/wide.png").write_bytes(png(60_000, 60_000))
    return made


@maker
def folder_of_links(path: Path) -> Path:
    made = folder(path)
    (made / "steps.csv").symlink_to("/etc/passwd")
    (made / "plans").symlink_to("/")
    (made / "pictures").symlink_to(path.parent)
    return made


@maker
def folder_of_deep_plans(path: Path) -> Path:
    made = folder(path)
    (made / "plans").mkdir()
    (made / "plans/001.json").write_text("[" * 15_000_000)
    (made / "plans/002.json").write_text('{"a":' * 3_000_000)
    (made / "plans/003.json").write_text("[" + "{}," * 6_000_000 + "{}]")
    (made / "plans/004.json").write_text("9" * 5_000_000)
    return made


# Our own workbooks, which begin with a sheet "Tasks"


@maker
def workbook_of_5_000_tasks(path: Path) -> Path:
    every = (cells(n, f"Fit {n}", n % 50 + 1, n - 1 if n > 1 else "") for n in range(1, 5_001))
    return workbook(path.with_suffix(".xlsx"), [HEADINGS, *every])


@maker
def workbook_of_50_000_tasks(path: Path) -> Path:
    every = (cells(n, f"Fit {n}", n % 50 + 1, "") for n in range(1, 50_001))
    return workbook(path.with_suffix(".xlsx"), [HEADINGS, *every])


@maker
def workbook_of_shared_texts(path: Path) -> Path:
    shared = [f"<sst {SHEET}>", *pieces("<si><t>x</t></si>", 9_000_000), "</sst>"]
    return workbook(path.with_suffix(".xlsx"), HEADINGS + cells(1, "a", 1, ""), shared=shared)


@maker
def workbook_of_shared_pieces(path: Path) -> Path:
    shared = [f"<sst {SHEET}><si>", *pieces("<r><t>x</t></r>", 6_000_000), "</si></sst>"]
    return workbook(path.with_suffix(".xlsx"), HEADINGS + cells(1, "a", 1, ""), shared=shared)


@maker
def workbook_of_styles(path: Path) -> Path:
    styles = [
        f"<styleSheet {SHEET}><cellXfs>",
        *pieces('<xf numFmtId="0"/>', 5_000_000),
        "</cellXfs></styleSheet>",
    ]
    return workbook(path.with_suffix(".xlsx"), HEADINGS + cells(1, "a", 1, ""), styles=styles)


@maker
def workbook_of_fonts(path: Path) -> Path:
    styles = [
        f"<styleSheet {SHEET}><fonts>",
        *pieces('<font><b/><sz val="11"/></font>', 3_000_000),
        "</fonts></styleSheet>",
    ]
    return workbook(path.with_suffix(".xlsx"), HEADINGS + cells(1, "a", 1, ""), styles=styles)


@maker
def workbook_of_empty_rows(path: Path) -> Path:
    return workbook(path.with_suffix(".xlsx"), pieces("<row/>", 16_000_000))


@maker
def workbook_of_empty_cells(path: Path) -> Path:
    data = [HEADINGS, "<row>", *pieces('<c r="A2"/>', 9_000_000), "</row>"]
    return workbook(path.with_suffix(".xlsx"), data)


@maker
def workbook_of_one_long_cell(path: Path) -> Path:
    data = [HEADINGS, "<row><c t='inlineStr'><is><t>", *pieces("x" * 50, 1_900_000)]
    return workbook(path.with_suffix(".xlsx"), [*data, "</t></is></c></row>"])


@maker
def workbook_of_deep_elements(path: Path) -> Path:
    return workbook(path.with_suffix(".xlsx"), [*pieces("<x>", 20_000_000)])


@maker
def workbook_of_wide_attributes(path: Path) -> Path:
    attributes = "".join(f' a{n}="1"' for n in range(1_000_000))
    return workbook(path.with_suffix(".xlsx"), f"<row{attributes}/>")


@maker
def workbook_of_merged_cells(path: Path) -> Path:
    merged = "".join(f'<mergeCell ref="A{n}:D1048576"/>' for n in range(1, 60_000))
    data = HEADINGS + cells(1, "a", 1, "") + f"</sheetData><mergeCells>{merged}</mergeCells>"
    return workbook(path.with_suffix(".xlsx"), data + "<sheetData>")


@maker
def workbook_of_entities(path: Path) -> Path:
    made = workbook(path.with_suffix(".xlsx"), HEADINGS + cells("&j;", "a", 1, ""))
    bomb = '<!DOCTYPE x [<!ENTITY a "hahahahaha">'
    for one, other in zip("bcdefghij", "abcdefghi", strict=True):
        bomb += f'<!ENTITY {one} "{f"&{other};" * 10}">'
    with zipfile.ZipFile(made) as packed:
        parts = {name: packed.read(name).decode() for name in packed.namelist()}
    parts["xl/worksheets/sheet1.xml"] = bomb + "]>" + parts["xl/worksheets/sheet1.xml"]
    return package(made, dict(parts))


@maker
def workbook_of_many_sheets(path: Path) -> Path:
    made = workbook(path.with_suffix(".xlsx"), HEADINGS + cells(1, "a", 1, ""))
    with zipfile.ZipFile(made) as packed:
        parts = {name: packed.read(name).decode() for name in packed.namelist()}
    one = '<sheet name="Tasks" sheetId="1" r:id="r0"/>'
    many = "".join(one.replace("Tasks", f"T{n}") for n in range(200_000))
    parts["xl/workbook.xml"] = parts["xl/workbook.xml"].replace(one, one + many)
    return package(made, dict(parts))


@maker
def workbook_of_many_parts(path: Path) -> Path:
    made = workbook(path.with_suffix(".xlsx"), HEADINGS + cells(1, "a", 1, ""))
    with zipfile.ZipFile(made, "a") as packed:
        for n in range(50_000):
            packed.writestr(f"xl/p{n}.xml", "")
    return made


@maker
def workbook_within_its_size(path: Path) -> Path:
    """Hold as many cells of as many rows as a part of 100 MB can."""
    row = "<row>" + "<c><v>1</v></c>" * 200 + "</row>"
    return workbook(path.with_suffix(".xlsx"), [HEADINGS, *pieces(row, 30_000, 100)])


# Sheets of strangers


@maker
def sheet_of_60_000_rows(path: Path) -> Path:
    text = "No;Task;Time (s);After\n" + rows(60_000, lambda n: f"{n};Fit {n};{n % 50 + 1};{n - 1}")
    made = path.with_suffix(".csv")
    made.write_text(text)
    return made


@maker
def sheet_of_5_000_tasks(path: Path) -> Path:
    made = path.with_suffix(".csv")
    made.write_text("No;Task;Time (s);After\n" + rows(
        5_000, lambda n: f"{n};Fit {n};{n % 50 + 1};{','.join(map(str, before(n)))}"))  # fmt: skip
    return made


@maker
def sheet_of_doubts(path: Path) -> Path:
    """Ask about every cell: each may mean two things."""
    made = path.with_suffix(".csv")
    made.write_text("No;Task;Time;After\n" + rows(
        20_000, lambda n: f"{n % 70};Fit, press / turn {n};1,{n % 900 + 100};1-2 + {n}-{n + 9}"
    ))  # fmt: skip
    return made


@maker
def sheet_of_ranges(path: Path) -> Path:
    made = path.with_suffix(".csv")
    made.write_text("No;Task;Time (s);After\n" + rows(
        5_000, lambda n: f"{n};Fit {n};1;{max(1, n - 900)}-{max(1, n - 1)}"))  # fmt: skip
    return made


@maker
def sheet_of_wide_rows(path: Path) -> Path:
    made = path.with_suffix(".csv")
    made.write_text(
        ";".join(f"Model {n}" for n in range(250)) + "\n" + ("1;" * 249 + "1\n") * 30_000
    )
    return made


@maker
def sheet_of_one_long_line(path: Path) -> Path:
    made = path.with_suffix(".csv")
    made.write_text("No;Task;Time\n1;" + "x" * 19_000_000)
    return made


@maker
def sheet_of_newlines_in_cells(path: Path) -> Path:
    made = path.with_suffix(".csv")
    made.write_text("No;Task;Time (s)\n" + rows(
        5_000, lambda n: f'{n};"{"step" + chr(10)}{("do this" + chr(10)) * 150}";1'))  # fmt: skip
    return made


@maker
def sheet_of_strange_bytes(path: Path) -> Path:
    made = path.with_suffix(".txt")
    made.write_bytes(random.Random(7).randbytes(19_000_000))
    return made


@maker
def sheet_of_brackets(path: Path) -> Path:
    made = path.with_suffix(".csv")
    made.write_text("No;Task;Time (s);After;Parts\n" + rows(
        3_000, lambda n: f"{n};Fit;{'1 ' * 400};{'(1),' * 900};{'2 x a (' * 300}"))  # fmt: skip
    return made


# Published instances


@maker
def instance_of_5_000_tasks(path: Path) -> Path:
    made = path.with_suffix(".in2")
    pairs = (f"{b},{n}" for n in range(2, 5_001) for b in before(n))
    times = (str(n % 50 + 1) for n in range(5_000))
    made.write_text("\n".join(["5000", *times, *pairs, "-1,-1"]))
    return made


@maker
def instance_of_20_000_tasks(path: Path) -> Path:
    made = path.with_suffix(".in2")
    pairs = (f"{n},{n + 1}" for n in range(1, 20_000))
    made.write_text("\n".join(["20000", *["5"] * 20_000, *pairs, "-1,-1"]))
    return made


@maker
def instance_of_dense_arrows(path: Path) -> Path:
    made = path.with_suffix(".in2")
    pairs = (f"{a},{b}" for b in range(2, 5_001) for a in range(max(1, b - 390), b))
    made.write_text("\n".join(["5000", *["5"] * 5_000, *pairs, "-1,-1"]))
    return made


@maker
def instance_of_broken_lines(path: Path) -> Path:
    made = path.with_suffix(".alb")
    made.write_text("<number of tasks>\n5\n<task times>\n" + "x y z\n" * 3_000_000)
    return made


@maker
def instance_of_sections(path: Path) -> Path:
    made = path.with_suffix(".alb")
    text = "<number of tasks>\n5\n" + "".join(f"<own {n}>\n" for n in range(1_500_000))
    made.write_text(text)
    return made


@maker
def instance_of_a_long_time(path: Path) -> Path:
    made = path.with_suffix(".in2")
    made.write_text("2\n" + "9" * 30 + "\n" + "9" * 15_000_000 + "\n1,2\n-1,-1\n")
    return made


def mutated(number: int, good: list[Path], below: Path) -> Path:
    """Return a good file or folder broken in some way; the same number, the same way."""
    draw = random.Random(20_261_128 + number)
    source = draw.choice(good)
    if source.is_file():
        made = below / f"{number}{source.suffix}"
        made.write_bytes(_broken(draw, source.read_bytes(), is_packed=source.suffix == ".xlsx"))
        return made
    made = below / str(number)
    inside = [path for path in sorted(source.rglob("*")) if path.is_file()]
    hurt = set(draw.sample(inside, draw.choice((1, 1, 2))))
    for path in inside:
        copy = made / path.relative_to(source)
        copy.parent.mkdir(parents=True, exist_ok=True)
        content = path.read_bytes()
        copy.write_bytes(_broken(draw, content, is_packed=False) if path in hurt else content)
    return made


def _broken(draw: random.Random, content: bytes, *, is_packed: bool) -> bytes:
    if is_packed and draw.random() < 0.7:
        return _broken_inside(draw, content)
    kind = draw.randrange(5)
    at = draw.randrange(len(content) + 1)
    if kind == 0:
        return content[:at]
    if kind == 1:
        changed = bytearray(content)
        for _ in range(draw.randint(1, 40)):
            if changed:
                changed[draw.randrange(len(changed))] = draw.randrange(256)
        return bytes(changed)
    if kind == 2:
        piece = content[at : at + draw.choice((1, 30, 3_000))]
        return content[:at] + piece * draw.choice((2, 50, 2_000)) + content[at:]
    if kind == 3:
        lines = content.splitlines(keepends=True)
        draw.shuffle(lines)
        return b"".join(lines)
    word = draw.choice(
        (b"\0", b"9" * 400, b'"', b",;\t", b"-1", b"1e308", b"\xff\xfe", b"[[", b"=")
    )
    return content[:at] + word * draw.choice((1, 9, 90_000)) + content[at:]


def _broken_inside(draw: random.Random, content: bytes) -> bytes:
    """Break one part of a workbook and pack it anew."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", 8) as new:
        hurt = draw.choice(old.namelist())
        for name in old.namelist():
            part = old.read(name)
            new.writestr(name, _broken(draw, part, is_packed=False) if name == hurt else part)
    return out.getvalue()
