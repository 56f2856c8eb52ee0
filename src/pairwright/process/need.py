"""A property that a computation needs and a material does not state: a five-part message."""

from __future__ import annotations

from pairwright.base.errors import InputError, Problem
from pairwright.base.words import Text
from pairwright.works.material import Material


def need(material: Material, field: str, *, where: str, must_be: Text, do: Text) -> float:
    """The property, or an `InputError` that names material and field.

    Parameters
    ----------
    material : Material
        The material.
    field : str
        Name of the property.
    where : str
        The step that needs it.
    must_be : Text
        What it must be.
    do : Text
        What to do.
    """
    value = getattr(material, field)
    if value is None:
        raise InputError(Problem(where, f"{material.name}: {field}", must_be, "nothing", do))
    return float(value)
