"""Every page by name, on a works on which `played` has played."""

from __future__ import annotations

from collections.abc import Mapping


def addresses(made: Mapping[str, str]) -> dict[str, str]:
    return {
        "week": "/",
        "book": "/book",
        "stations": "/stations",
        "station-empty": "/stations/assembly",
        "station-work": "/stations/hot-press",
        "station-waits": f"/stations/trim-machine?subject={made['left']}",
        "station-refused": f"/stations/trim-machine?subject={made['left']}&refused={made['refused']}",
        "station-new": "/stations/hot-press?b_product=alder&b_option=oak&b_part=shell&b_side=left&b_set=M003-3",
        "station-unknown": "/stations/hot-press?subject=NOBODY-KNOWS",
        "station-slip": "/stations/hot-press?slip=MH-0231L",
        "sheet-measure": f"/stations/trim-machine/acts/measure?subject={made['left']}",
        "sheet-problem": f"/stations/trim-machine/acts/problem?subject={made['left']}",
        "sheet-rework": f"/stations/trim-machine/acts/rework?subject={made['troubled']}",
        "sheet-swap": "/stations/measuring-room/acts/swap?subject=M000-1",
        "station-set": "/stations/measuring-room?subject=M000-1",
        "thing": f"/things/{made['left']}",
        "thing-set": "/things/M003-1",
        "thing-pair": f"/things/{made['finished']}",
        "thing-lot": f"/things/{made['lot']}",
        "inspect": f"/inspect/{made['finished']}?station={made['look']}",
        "inspect-zone": f"/inspect/{made['finished']}?station={made['look']}&zone=outer-side",
        "inspect-none": f"/inspect/{made['left']}?station=trim-machine",
        "trouble": "/trouble",
        "handover": "/handover?hours=24",
        "wall": "/wall",
        "language": "/language",
        "keys": "/keys",
        "person": "/people/P-14",
        "unknown": "/scan?code=MH-0231X",
        "not-found": "/nowhere",
    }
