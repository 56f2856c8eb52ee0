"""Sheets that people or programs may hand in, one mistake each, and what must be said of it.

Every case makes a file. `says` are pieces of the message (where, field, what it must be, what it got);
none means that the sheet is taken, and `rows` says what must then be read from it.
"""

from __future__ import annotations

import io
import os
import re
import struct
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any, Final

ORDERS: Final = "order,product,option,quantity,due,weight,released,customer\n"
ONE: Final = "N1,tansy,satin,2,2027-05-07,1,,south shop\n"
LOTS: Final = "lot,material,quantity,unit,received,expiry\n"
ITEMS: Final = "item,product,option,part,side\n"
XLSX: Final = "orders.xlsx"

Make = Callable[[Path], Path]


@dataclass(frozen=True)
class Sheet:
    """One sheet; `number` is its place in our list of bad inputs."""

    number: int
    name: str
    make: Make
    says: tuple[str, ...] = ()
    kind: str = "orders"
    rows: tuple[dict[str, Any], ...] = ()

    @property
    def taken(self) -> bool:
        return not self.says


def raw(body: bytes, name: str = "orders.csv") -> Make:
    def make(folder: Path) -> Path:
        path = folder / name
        path.write_bytes(body)
        return path

    return make


def csv(*lines: str, name: str = "orders.csv") -> Make:
    return raw("".join(lines).encode(), name)


def named(path: str) -> Make:
    """Only a name: what lies there, if anything, is not ours."""
    return lambda folder: Path(path)


def _pipe(folder: Path) -> Path:
    os.mkfifo(folder / "orders.csv")
    return folder / "orders.csv"


def _link(folder: Path) -> Path:
    (folder / "real.csv").write_text(ORDERS + ONE)
    (folder / "orders.csv").symlink_to(folder / "real.csv")
    return folder / "orders.csv"


def order(**cells: str) -> Make:
    """The one order with some cells otherwise."""
    names = ORDERS.strip().split(",")
    found = dict(zip(names, ONE.strip().split(","), strict=True)) | cells
    return csv(ORDERS, ",".join(found[n] for n in names) + "\n")


def lot(**cells: str) -> Make:
    names = LOTS.strip().split(",")
    found = {
        "lot": "V-99",
        "material": "walnut-06",
        "quantity": "12.5",
        "unit": "m2",
        "received": "",
        "expiry": "",
    }
    found |= cells
    return csv(LOTS, ",".join(found[n] for n in names) + "\n", name="lots.csv")


def item(**cells: str) -> Make:
    names = ITEMS.strip().split(",")
    found = {"item": "S-1", "product": "alder", "option": "birch", "part": "shell", "side": "left"} | cells
    return csv(ITEMS, ",".join(found[n] for n in names) + "\n", name="items.csv")


Fill = Callable[[Any], None]
HEAD: Final = ORDERS.strip().split(",")
CELLS: Final[list[Any]] = ["N1", "tansy", "satin", 2, date(2027, 5, 7), 1, None, "south shop"]


def workbook(fill: Fill | None = None, name: str = XLSX) -> bytes:
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    sheet.title = "orders"
    sheet.append(HEAD)
    sheet.append(CELLS)
    if fill is not None:
        fill(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def xlsx(fill: Fill | None = None) -> Make:
    def make(folder: Path) -> Path:
        return raw(workbook(fill), XLSX)(folder)

    return make


def patched(change: Callable[[dict[str, bytes]], None], fill: Fill | None = None) -> Make:
    """A workbook whose members were changed by hand."""

    def make(folder: Path) -> Path:
        with zipfile.ZipFile(io.BytesIO(workbook(fill))) as packed:
            members = {m.filename: packed.read(m) for m in packed.infolist()}
        change(members)
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
            for member, body in members.items():
                packed.writestr(member, body)
        return raw(out.getvalue(), XLSX)(folder)

    return make


SHEET: Final = "xl/worksheets/sheet1.xml"


def sub(pattern: str, new: str, member: str = SHEET) -> Callable[[dict[str, bytes]], None]:
    def change(members: dict[str, bytes]) -> None:
        found, count = re.subn(pattern, new, members[member].decode(), count=1)
        assert count == 1, f"{pattern} is not in {member}"
        members[member] = found.encode()

    return change


def put(cell: str, value: Any) -> Fill:
    def fill(book: Any) -> None:
        book["orders"][cell] = value

    return fill


def _far(members: dict[str, bytes]) -> None:
    row = '<row r="1048576"><c r="XFD1048576" t="inlineStr"><is><t>x</t></is></c></row></sheetData>'
    sub("</sheetData>", row)(members)


def _outside(members: dict[str, bytes]) -> None:
    members["../../outside.xml"] = b"<a/>"


def _macros(members: dict[str, bytes]) -> None:
    members["xl/vbaProject.bin"] = b"\0" * 64


def _entities(members: dict[str, bytes]) -> None:
    head = b'<!DOCTYPE a [<!ENTITY e SYSTEM "file:///etc/passwd">]>'
    members[SHEET] = head + members[SHEET].replace(b"south shop", b"&e;")


def _laughs(members: dict[str, bytes]) -> None:
    lines = ['<!ENTITY a0 "ha">', *(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))]
    head = "<!DOCTYPE a [" + "".join(lines) + "]>"
    for name in [n for n in ("xl/sharedStrings.xml", SHEET) if n in members]:
        members[name] = head.encode() + members[name]


def _blanks(folder: Path) -> Path:
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(workbook())) as packed,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as to,
    ):
        for member in packed.infolist():
            body = packed.read(member)
            if member.filename == SHEET:
                with to.open(member.filename, "w") as file:
                    file.write(body.replace(b"</worksheet>", b""))
                    for _ in range(200):
                        file.write(b" " * (1 << 20))
                    file.write(b"</worksheet>")
            else:
                to.writestr(member.filename, body)
    return raw(out.getvalue(), XLSX)(folder)


def _long(count: int) -> Make:
    """So many rows, written as cheaply as can be."""

    def make(folder: Path) -> Path:
        row = '<row><c t="inlineStr"><is><t>N{}</t></is></c><c><v>2</v></c></row>'
        rows = "".join(row.format(n) for n in range(count))
        return patched(sub("</sheetData>", rows + "</sheetData>"))(folder)

    return make


def _thousand_rows(members: dict[str, bytes]) -> None:
    """A workbook of a thousand orders that says it holds one."""
    cell = '<c t="inlineStr"><is><t>{}</t></is></c>'
    rows = "".join(
        "<row>" + "".join(cell.format(v) for v in (f"T{n}", "tansy", "satin", "1", "2027-05-07")) + "</row>"
        for n in range(1000)
    )
    sub("</sheetData>", rows + "</sheetData>")(members)
    sub(r'<dimension ref="[^"]*" ?/>', '<dimension ref="A1:H2"/>')(members)


def _two(book: Any) -> None:
    sheet = book.create_sheet("more")
    sheet.append(HEAD)
    sheet.append(CELLS)
    book["orders"].title = "first"


def _hide_sheet(book: Any) -> None:
    _two(book)
    book["first"].sheet_state = "hidden"
    book.active = 1


def _hide_row(book: Any) -> None:
    book["orders"].row_dimensions[2].hidden = True


def _merge(book: Any) -> None:
    book["orders"].append(["N2", "tansy", "satin", 2, date(2027, 5, 7)])
    book["orders"].merge_cells("B2:B3")


def _epoch(book: Any) -> None:
    from openpyxl.utils.datetime import CALENDAR_MAC_1904

    book.epoch = CALENDAR_MAC_1904


def _serial(members: dict[str, bytes]) -> None:
    """Gives the formula of D2 the value that its program showed."""
    found, count = re.subn(
        rb'(<c r="D2"[^>]*?)><f>1\+1</f><v ?/?>(</v>)?', rb"\1><f>1+1</f><v>2</v>", members[SHEET]
    )
    assert count == 1, members[SHEET]
    members[SHEET] = found


def _encrypted(folder: Path) -> Path:
    body = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + struct.pack("<504x")
    return raw(body, XLSX)(folder)


def _truncated(folder: Path) -> Path:
    body = workbook()
    return raw(body[: len(body) // 2], XLSX)(folder)


PNG: Final = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\1\0\0\0\1\x08\2\0\0\0"
GOOD: Final = {"id": "N1", "quantity": 2, "due": "2027-05-07", "customer": "south shop"}
NUMBER: Final = "number"

CASES: Final = (
    # any file
    Sheet(1, "an empty file", raw(b""), ("empty",)),
    Sheet(2, "one byte", raw(b"x"), ("(header)", "order")),
    Sheet(3, "a picture", raw(PNG), ("UTF-8",)),
    Sheet(4, "a path that leads up", named("../../x"), ("readable", "No such file")),
    Sheet(5, "a path with backslashes", named("..\\..\\x"), ("readable",)),
    Sheet(6, "a drive letter", named("C:\\x"), ("readable",)),
    Sheet(7, "a file of the system", named("/etc/passwd"), ("passwd",)),
    Sheet(8, "the name of a device elsewhere", csv(ORDERS, ONE, name="CON.csv"), rows=(GOOD,)),
    Sheet(9, "a name of 300 characters", named("x" * 300), ("readable", "name too long")),
    Sheet(10, "a name with a NUL", named("a\0b.csv"), ("null byte",)),
    Sheet(10, "a name with a line break", named("a\nb.csv"), ("readable", "No such file")),
    Sheet(11, "a name that turns the writing round", named("a\u202evsc.exe"), ("readable", "\\u202e")),
    Sheet(12, "the same file twice", csv(ORDERS, "3003,tansy,satin,3,2027-04-09,,,\n"), rows=({"change": "same"},)),
    Sheet(18, "a link to a file", _link, rows=(GOOD,)),
    Sheet(19, "a pipe", _pipe, ("ordinary file",)),
    Sheet(19, "a device", named("/dev/zero"), ("ordinary file",)),
    Sheet(19, "a folder", lambda folder: folder, ("ordinary file",)),
    Sheet(22, "one byte too large", raw(b"x" * ((16 << 20) + 1)), ("at most 16777216 bytes",)),
    # CSV
    Sheet(25, "a byte order mark", csv("\ufeff", ORDERS, ONE), rows=(GOOD,)),
    Sheet(26, "UTF-16", raw((ORDERS + ONE).encode("utf-16")), ("UTF-8", "UTF-16")),
    Sheet(27, "Latin-1", raw((ORDERS + ONE).replace("south", "dép\xf4t").encode("latin-1")), ("UTF-8", "line 2")),
    Sheet(28, "a NUL inside", csv(ORDERS, ONE.replace("south", "so\0th")), ("line 2", "U+0000")),
    Sheet(29, "a field of 200 000 characters", csv(ORDERS, ONE.replace("south", "s" * 200_000)), ("line 2", "field")),
    Sheet(30, "an open quotation mark", csv(ORDERS, ONE.replace("south", '"south'), ONE), ("line 2", "quotation")),
    Sheet(31, "a row that is too short", csv(ORDERS, "N1,tansy\n"), ("line 2", "8 values", "2")),
    Sheet(31, "a row that is too long", csv(ORDERS, ONE.strip() + ",x\n"), ("line 2", "8 values", "9")),
    Sheet(
        32, "semicolons and a decimal comma",
        csv(LOTS.replace(",", ";"), "V-99;walnut-06;86,4;m2;;\n", name="lots.csv"),
        ("line 2", "quantity", NUMBER, "86,4"), kind="lots",
    ),
    Sheet(33, "line ends of old", raw((ORDERS + ONE).replace("\n", "\r").encode()), rows=(GOOD,)),
    Sheet(34, "a column twice", csv("order,order", ORDERS[5:], "N1,", ONE), ("each column once", "order")),
    Sheet(35, "only a header", csv(ORDERS), ("at least one row",)),
    Sheet(36, "a missing column", csv("order,product,option,due\n", "N1,tansy,satin,2027-05-07\n"),
          ("the columns", "quantity")),
    Sheet(37, "a column of another kind", csv("colour," + ORDERS, "red," + ONE), ("known column", "colour")),
    Sheet(38, "blank lines and spaces", csv(ORDERS, "\n", ONE.replace(",", " , "), "\n\n"), rows=(GOOD,)),
    Sheet(39, "a number with an underscore", lot(quantity="1_000"), ("quantity", NUMBER), kind="lots"),
    Sheet(40, "digits of another script", lot(quantity="\u0661\u0662"), ("quantity", NUMBER), kind="lots"),
    Sheet(40, "wide digits", lot(quantity="\uff11\uff12"), ("quantity", NUMBER), kind="lots"),
    Sheet(41, "nan", lot(quantity="nan"), ("quantity", NUMBER), kind="lots"),
    Sheet(42, "infinity", lot(quantity="inf"), ("quantity", NUMBER), kind="lots"),
    Sheet(43, "a number beyond all", lot(quantity="1e400"), ("quantity", NUMBER), kind="lots"),
    Sheet(44, "points between thousands", lot(quantity='"1.234,56"'), ("quantity", NUMBER, "1.234,56"), kind="lots"),
    Sheet(45, "a day whose order is anybody's guess", order(due="03/04/2027"), ("due", "a day such as")),
    Sheet(45, "a day that is not in the calendar", order(due="2027-02-30"), ("due", "a day such as")),
    Sheet(45, "a day with an hour", order(due="2027-03-28T02:30"), ("due", "a day such as")),
    Sheet(46, "an identity that begins with zeros", order(order="00123"), rows=({"id": "00123"},)),
    Sheet(47, "an identity that looks like a number", order(order="1E5"), rows=({"id": "1E5"},)),
    Sheet(48, "a formula in a name", order(order="=cmd()"), ("order", "an id")),
    Sheet(48, "a formula in a text", order(customer="'=cmd()"), rows=({"customer": "=cmd()"},)),
    Sheet(49, "a letter that looks like another", lot(lot="\u0421-9"), ("lot", "an id"), kind="lots"),
    Sheet(50, "letters taken apart", order(customer="de\u0301pot"), rows=({"customer": "d\u00e9pot"},)),
    Sheet(51, "a space of no width", lot(lot="V\u200b-99"), ("lot", "an id"), kind="lots"),
    Sheet(51, "a hidden mark in a text", order(customer="a\u202eb"), ("customer", "hidden")),
    Sheet(52, "an identity in small letters", lot(lot="v-17"), ("lot", "record", "V-17"), kind="lots"),
    Sheet(53, "the identity of another kind", item(item="V-17"), ("item", "record", "V-17"), kind="items"),
    Sheet(54, "left given as right", item(item="stock.alder.birch.shell.left.1", side="right"),
          ("item", "record"), kind="items"),
    Sheet(55, "a million rows", csv(ORDERS, "N1\n" * 1_000_001), ("rows",)),
    Sheet(56, "less than nothing", lot(quantity="-3"), ("quantity", NUMBER, "-3"), kind="lots"),
    Sheet(57, "a unit of another kind", lot(unit="kg"), ("unit", "m2"), kind="lots"),
    # XLSX
    Sheet(58, "no workbook", raw(b"PK\3\4 but nothing more", XLSX), ("XLSX",)),
    Sheet(59, "half a workbook", _truncated, ("XLSX",)),
    Sheet(60, "a path that leads out", patched(_outside), ("lead out",)),
    Sheet(61, "an entity from a file", patched(_entities), ("entities",)),
    Sheet(62, "entities of entities", patched(_laughs), ("entities",)),
    Sheet(63, "200 MiB of blanks", _blanks, ("unpacked",)),
    Sheet(64, "a size that is too small", patched(_thousand_rows), rows=tuple({"id": n} for n in ("N1", "T0", "T999"))),
    Sheet(65, "a size that is far too large",
          patched(sub(r'<dimension ref="[^"]*" ?/>', '<dimension ref="A1:XFD1048576"/>')), rows=(GOOD,)),
    Sheet(66, "a cell at the far end", patched(_far), ("columns",)),
    Sheet(66, "a cell at the bottom", patched(sub(
        "</sheetData>", '<row r="1048576"><c r="A1048576" t="inlineStr"><is><t>N2</t></is></c></row></sheetData>')),
        ("row 1048576", "product")),
    Sheet(67, "a reference that is none", patched(sub('r="B2"', 'r="%%%"')), ("XLSX",)),
    Sheet(68, "a formula without a value", xlsx(put("D2", "=1+1")), ("D2", "formula")),
    Sheet(69, "a formula with a value", patched(_serial, put("D2", "=1+1")), rows=(GOOD,)),
    Sheet(70, "a reference that went wrong", xlsx(put("H2", "#REF!")), ("row 2", "#REF!")),
    Sheet(71, "merged cells", xlsx(_merge), ("merged",)),
    Sheet(72, "hidden rows", xlsx(_hide_row), ("hidden rows",)),
    Sheet(72, "a hidden sheet", xlsx(_hide_sheet), rows=(GOOD,)),
    Sheet(73, "two sheets alike", xlsx(_two), ("first, more", "one sheet")),
    Sheet(74, "days counted from 1904", xlsx(_epoch), rows=(GOOD,)),
    Sheet(75, "a number kept as text", xlsx(put("D2", "2")), rows=(GOOD,)),
    Sheet(75, "a day with an hour", xlsx(put("E2", datetime(2027, 5, 7, 8, 30))), ("row 2", "due")),
    Sheet(76, "macros", patched(_macros), ("macros",)),
    Sheet(77, "a password", _encrypted, ("password",)),
    Sheet(78, "400 000 rows", _long(400_000), ("rows",)),
)  # fmt: skip
