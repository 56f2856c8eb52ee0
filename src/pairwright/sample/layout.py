"""The sample works as texts: definition from the package's data, orders and stock drawn."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from importlib import resources
from importlib.resources.abc import Traversable
from typing import Final
from zoneinfo import ZoneInfo

from pairwright.base.digests import digest_bytes
from pairwright.sample.holidays import between
from pairwright.sample.orders import draw_orders, orders_csv
from pairwright.sample.stock import draw_lots, lots_csv, parts_csv, purchases_csv

OPENING: Final = date(2027, 3, 1)  # of the data as it lies in the package
RESTRICTED: Final = "restricted/gloss-clear.toml"
_HOLIDAYS: Final = re.compile(
    r"(?<=# holidays: begin\n).*?(?=^\] +# holidays: end$)", re.DOTALL | re.MULTILINE
)
_STOP: Final = re.compile(r"start = (\d{4}-\d{2}-\d{2})T")
_AFTER: Final = timedelta(days=90)  # holidays reach so far beyond the last due day


def layout(*, pairs: int = 40, start: date = OPENING, seed: int = 1) -> dict[str, str]:
    """The sample works as texts by path, order book and stock included.

    Parameters
    ----------
    pairs : int
        Pairs in the order book; due days stretch with it. [-]
    start : date
        First day of the plan; maintenance and holidays follow it. [-]
    seed : int
        Same arguments, same texts. [-]

    Returns
    -------
    dict[str, str]
        Text by path, with forward slashes.
    """
    texts = dict(definition())
    orders = draw_orders(pairs=pairs, start=start, seed=seed)
    texts["works.toml"] = _dated(texts["works.toml"], start, last=orders[-1].due + _AFTER).replace(
        '"DIGEST"', f'"{digest_bytes(texts[RESTRICTED].encode())}"'
    )
    lots = draw_lots(orders, start=start, seed=seed)
    texts["orders.csv"] = orders_csv(orders)
    texts["stock/lots.csv"] = lots_csv(lots)
    texts["stock/parts.csv"] = parts_csv()
    texts["stock/purchases.csv"] = purchases_csv(orders, start=start, seed=seed)
    return dict(sorted(texts.items()))


def definition() -> Iterator[tuple[str, str]]:
    """Path and text of every file of the definition, as it lies in the package."""
    data = resources.files("pairwright.sample").joinpath("data")
    yield from _files(data, "")


def _files(folder: Traversable, prefix: str) -> Iterator[tuple[str, str]]:
    for entry in sorted(folder.iterdir(), key=lambda e: e.name):
        if entry.is_dir():
            yield from _files(entry, f"{prefix}{entry.name}/")
        elif entry.name.endswith(".toml"):
            yield f"{prefix}{entry.name}", entry.read_text(encoding="utf-8")


def _dated(body: str, start: date, *, last: date) -> str:
    """works.toml with opening, maintenance and holidays moved to the first day."""
    zone = ZoneInfo("Europe/Amsterdam")
    opening = datetime(start.year, start.month, start.day, 6, tzinfo=zone).isoformat()
    body = re.sub(r"(?m)^opening = \S+", f"opening = {opening}", body, count=1)
    moved = start - OPENING
    body = _STOP.sub(lambda m: f"start = {date.fromisoformat(m[1]) + moved}T", body)
    lines = "".join(c.line() for c in between(start, last))
    return _HOLIDAYS.sub(lambda _: lines, body)
