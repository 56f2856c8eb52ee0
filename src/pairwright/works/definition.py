"""The whole works: factory, materials, products by option, and the texts they came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from pairwright.works.factory import Factory
from pairwright.works.material import AnyMaterial
from pairwright.works.product import Option, Product


@dataclass(frozen=True, slots=True)
class ProductLine:
    """A product with its options, as its file states them."""

    id: str
    name: str
    kind: str
    handed: bool
    options: Mapping[str, Option]


@dataclass(frozen=True, slots=True)
class Works:
    """A validated definition. Every cross-reference in it leads somewhere.

    `variants` holds each product once per option, placeholders filled in, steps of other options
    left out. `texts` is the definition as read, by path; `revision` is its digest.
    """

    factory: Factory
    materials: Mapping[str, AnyMaterial]
    products: Mapping[str, ProductLine]
    variants: Mapping[tuple[str, str], Product]
    texts: Mapping[str, str]
    revision: str
    sealed: frozenset[str] = frozenset()  # restricted recipes that are not here

    @property
    def zone(self) -> ZoneInfo:
        """The works' time zone."""
        return ZoneInfo(self.factory.time_zone)

    def variant(self, product: str, option: str) -> Product:
        """The product in one option."""
        return self.variants[product, option]
