"""Zones, defects, repairs and limit samples of a works' text: what is refused, what is rightly let through."""

from __future__ import annotations

import pytest

from pairwright.base.errors import InputError
from pairwright.sample import layout
from pairwright.works import load_works

SORREL, WORKS = "products/sorrel.toml", "works.toml"
FRONT = 'corners = [["0 mm", "0 mm"], ["220 mm", "0 mm"], ["220 mm", "400 mm"], ["0 mm", "400 mm"]]'

REFUSED = [
    ("a zone on no face", SORREL, 'face = "front"', 'face = "frond"', "inspection.zones.front.face"),
    ("a corner beside the face", SORREL, '["220 mm", "400 mm"]', '["221 mm", "400 mm"]', "zones.front.corners.2"),
    ("a zone that encloses nothing", SORREL, FRONT, 'corners = [["0 mm", "0 mm"], ["1 mm", "0 mm"], ["2 mm", "0 mm"]]',
     "inspection.zones.front.corners"),
    ("sides that cross", SORREL, FRONT,
     'corners = [["0 mm", "0 mm"], ["220 mm", "0 mm"], ["20 mm", "400 mm"], ["220 mm", "400 mm"]]',
     "inspection.zones.front.corners"),
    ("two corners", SORREL, FRONT, 'corners = [["0 mm", "0 mm"], ["220 mm", "0 mm"]]', "zones.front.corners"),
    ("a way of looking that is none", SORREL, 'seen = "in use"', 'seen = "sometimes"', "inspection.zones.back.seen"),
    ("likeness of an unknown zone", SORREL, '"side-one", "top"', '"side-on", "top"', "inspection.likeness.zones.1"),
    ("a face of an unknown part", SORREL, 'name = "Top"\nwidth', 'name = "Top"\npart = "lid"\nwidth', "faces.top.part"),
    ("an unknown repair", WORKS, 'repair = "fill-in"', 'repair = "fill"', "defects.pinhole.repair"),
    ("a repair at an unknown station", WORKS, 'P2000 on a hard block", station = "hand-finish"',
     'P2000 on a hard block", station = "hand"', "repairs.rub-out.steps.0.station"),
    ("a repair whose time nobody can compute", WORKS, 'skill = "inspecting", duration = "3 min"',
     'skill = "inspecting", duration = "computed"', "repairs.rub-out.steps.1.duration"),
    ("a repair back to an unknown step", WORKS, 'sorrel = "polish"', 'sorrel = "polished"', "repairs.rub-out.back_to"),
    ("a repair of an unknown product", WORKS, 'sorrel = "polish"', 'sorel = "polish"', "repairs.rub-out.back_to"),
    ("an unknown caution", WORKS, '["flat", "polish"]', '["flat", "shine"]', "rub-out.cautions.1"),
    ("a sample of an unknown defect", WORKS, 'defect = "orange-peel"', 'defect = "orange"', "peel-hidden.defect"),
    ("a size below nothing", WORKS, 'always = "0.3 mm"', 'always = "-1 mm"', "defects.inclusion.allowed"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("path", "before", "after", "place"), [r[1:] for r in REFUSED], ids=[r[0] for r in REFUSED]
)
def test_what_contradicts_itself_is_told_with_its_place(
    path: str, before: str, after: str, place: str
) -> None:
    texts = layout(pairs=1)
    assert before in texts[path]

    with pytest.raises(InputError) as refused:
        load_works({**texts, path: texts[path].replace(before, after, 1)})

    told = [(p.where.partition(":")[0], p.field) for p in refused.value.problems]
    assert any(where.startswith(path) and place in field for where, field in told), told


def test_more_kinds_than_a_person_keeps_apart_are_refused() -> None:
    texts = layout(pairs=1)
    more = "\n".join(f'[defects.kind-{n}]\nname = "Kind {n}"' for n in range(3))

    with pytest.raises(InputError, match="at most 12"):
        load_works({**texts, WORKS: texts[WORKS].replace("[defects.shade]", f"{more}\n\n[defects.shade]")})


def test_a_works_without_any_of_it_is_whole() -> None:
    texts = layout(pairs=1)
    begin, end = (
        texts[SORREL].index("[inspection.likeness]"),
        texts[SORREL].index("# ---", texts[SORREL].index("zones.top]")),
    )

    works = load_works({**texts, SORREL: texts[SORREL][:begin] + texts[SORREL][end:]})

    assert works.variants["sorrel", "ink"].inspection is None
    assert works.variants["alder", "oak"].inspection is not None


def test_the_sample_names_zones_of_every_product_and_at_most_twelve_kinds() -> None:
    works = load_works(layout(pairs=1))

    assert all(product.inspection is not None for product in works.variants.values())
    assert 10 <= len(works.factory.defects) <= 12
    front = works.variants["sorrel", "ink"].inspection
    assert front is not None
    assert front.zones["top"].corners[4] == (0.06, 0.28)
