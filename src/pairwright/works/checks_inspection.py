"""Whether zones lie on their faces, and defects, repairs and samples lead somewhere."""

from __future__ import annotations

from collections.abc import Iterator

from pairwright.base.errors import Problem
from pairwright.base.words import text
from pairwright.works.draft import Draft, Variant, unknown
from pairwright.works.inspection import MOST_DEFECTS
from pairwright.works.lines import Loc


def check_inspection(draft: Draft) -> Iterator[Problem]:
    """Every contradiction in what is looked over."""
    told: set[str] = set()
    for variant in draft.variants:
        if variant.product.inspection is not None and variant.product.id not in told:
            told.add(variant.product.id)
            yield from _zones(variant)
    yield from _defects(draft)
    yield from _repairs(draft)


def _zones(variant: Variant) -> Iterator[Problem]:
    inspection = variant.product.inspection
    if inspection is None:
        return
    for name, face in inspection.faces.items():
        if face.part is not None and face.part not in variant.product.parts and not variant.broken:
            yield unknown(variant, ("inspection", "faces", name, "part"), what=text("a part of the product"),
                          got=face.part, known=variant.product.parts)  # fmt: skip
    for name, zone in inspection.zones.items():
        loc: Loc = ("inspection", "zones", name)
        on = inspection.faces.get(zone.face)
        if on is None:
            yield unknown(variant, (*loc, "face"), what=text("a face"), got=zone.face, known=inspection.faces)
            continue
        for number, (right, up) in enumerate(zone.corners):
            if right > on.width * (1 + 1e-9) or up > on.height * (1 + 1e-9):
                yield variant.problem(
                    (*loc, "corners", number),
                    text("on the face {face}", face=zone.face),
                    got=f"{right * 1000:g} mm, {up * 1000:g} mm",
                    do=text("keep within its width and height"),
                )
    for number, zone_name in enumerate(inspection.likeness.zones):
        if zone_name not in inspection.zones:
            yield unknown(variant, ("inspection", "likeness", "zones", number), what=text("a zone"),
                          got=zone_name, known=inspection.zones)  # fmt: skip


def _defects(draft: Draft) -> Iterator[Problem]:
    defects = draft.factory.defects
    if len(defects) > MOST_DEFECTS:
        yield draft.works.problem(
            ("defects",),
            text("at most {n} kinds: more can't be kept apart at a station", n=MOST_DEFECTS),
            got=len(defects),
            do=text("join kinds that are repaired alike"),
        )
    for name, defect in defects.items():
        if defect.repair is not None and defect.repair not in draft.known("repairs"):
            yield unknown(draft.works, ("defects", name, "repair"), what=text("a repair"), got=defect.repair,
                          known=draft.known("repairs"))  # fmt: skip
    for name, sample in draft.factory.limit_samples.items():
        if sample.defect not in draft.known("defects"):
            yield unknown(draft.works, ("limit_samples", name, "defect"), what=text("a kind of defect"),
                          got=sample.defect, known=draft.known("defects"))  # fmt: skip


def _repairs(draft: Draft) -> Iterator[Problem]:
    for name, repair in draft.factory.repairs.items():
        for number, step in enumerate(repair.steps):
            if step.station not in draft.known("stations"):
                yield unknown(draft.works, ("repairs", name, "steps", number, "station"), what=text("a station"),
                              got=step.station, known=draft.known("stations"))  # fmt: skip
            if isinstance(step.duration, str):
                yield draft.works.problem(
                    ("repairs", name, "steps", number, "duration"), text("a stated time: no law gives it"),
                    do=text("state a time, or low, likely and high"),
                )  # fmt: skip
        for product, back in repair.back_to.items():
            loc: Loc = ("repairs", name, "back_to", product)
            if product not in draft.known("products"):
                yield unknown(
                    draft.works, loc, what=text("a product"), got=product, known=draft.known("products")
                )
                continue
            steps = {s.id for v in draft.variants if v.product.id == product for _, _, s in v.steps()}
            if steps and back not in steps:
                yield unknown(draft.works, loc, what=text("a step of the product"), got=back, known=steps)
        for number, caution in enumerate(repair.cautions):
            if caution not in draft.known("cautions"):
                yield unknown(draft.works, ("repairs", name, "cautions", number), what=text("a caution"),
                              got=caution, known=draft.known("cautions"))  # fmt: skip
