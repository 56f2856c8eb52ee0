"""The kinds of events and what each carries: one table, read by the door, the docs and the tests."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from pairwright.base.words import Text, text
from pairwright.floor.fields import (
    Reader,
    choice,
    day,
    digest,
    distinct,
    flag,
    ident,
    inputs,
    key,
    line,
    many,
    moment,
    name,
    number,
    spans,
    unit_name,
    values,
    whole,
)

DISPOSITIONS: Final = ("rework", "repair", "concession", "scrap", "hold")
REASONS: Final = ("did_not_occur", "incorrect_data")  # the standard's two (EPCIS 2.0, error declaration)
BEINGS: Final = ("item", "leaf", "set", "lot", "carrier", "mould", "instrument", "programme")
SIDES: Final = ("left", "right", "a", "b")


@dataclass(frozen=True, slots=True)
class Field:
    """One field of an event's data; `known` names the list of the works it must be in."""

    name: str
    read: Reader
    needed: bool = False
    known: str | None = None
    also: tuple[str, ...] = ()  # longer names for the same field, taken at the door


@dataclass(frozen=True, slots=True)
class Kind:
    """What a kind of event means, what it may be about, and its data."""

    name: str
    means: Text
    subjects: tuple[str, ...]
    fields: tuple[Field, ...]
    bare: bool = False  # may be about nothing but its station or data


_ANY: Final = ("item", "lot", "set")
_REASON: Final = Field("reason", line, needed=True)
_PHOTOGRAPH: Final = Field("photograph", digest)
_NONCONFORMANCE: Final = Field("nonconformance", key)
_STEP: Final = (
    Field("step", name, needed=True, known="steps"),
    Field("programme", name, known="programmes"),
    Field("revision", name),
    Field("carrier", ident),
    Field("batch", ident),
    Field("inputs", inputs),
    Field("part", name, known="parts"),
    Field("values", values),
)
_BELONGS: Final = (
    Field("product", name, known="products"),
    Field("option", name),
    Field("part", name, known="parts"),
    Field("side", choice(*SIDES)),
    Field("set", ident),
    Field("order", ident),
)
_HALVES: Final = tuple(Field(side, ident) for side in SIDES)

_TABLE: Final = (
    Kind(
        "received", text("goods came in"), ("lot", "item"),
        (
            Field("quantity", number(0.0, above=True)), Field("unit", unit_name),
            Field("lot", ident), Field("serials", distinct(ident)), Field("expiry", day),
            Field("values", values), Field("material", name, known="materials"), Field("purchase", ident),
            Field("certificate", digest),
        ),
        bare=True,
    ),
    Kind("started", text("a step began"), ("item", "set"), _STEP),
    Kind("finished", text("a step ended"), ("item", "set"), _STEP),
    Kind(
        "measured", text("a characteristic was measured"), _ANY,
        (
            Field("characteristic", name, needed=True, known="characteristics"),
            Field("value", number()), Field("unit", unit_name),
            Field("attachment", digest, also=("attachment_digest",)),
            Field("instrument", ident),
            Field("limit_revision", name, also=("limits",)),
            Field("batch", ident), Field("verdict", choice("good", "bad", "not proven")),
        ),
        bare=True,
    ),
    Kind(
        "inspected", text("a finished surface was looked over"), ("item", "set", "lot"),
        (
            Field("zone", name, known="zones"), Field("defect", name, known="defects", also=("defect_kind",)),
            Field("size", number(0.0)), _PHOTOGRAPH, Field("clear", flag), _NONCONFORMANCE,
            Field("text", line),
        ),
    ),
    Kind("mated", text("two halves became a pair"), ("set",),
         (*_HALVES, Field("reason", line), Field("carries_on", key))),
    Kind("unmated", text("a pair was taken apart"), ("set",), (*_HALVES, _REASON)),
    Kind("mounted", text("a part was put into another and can come out again"), ("item",),
         (Field("into", ident, needed=True), Field("reason", line), Field("step", name, known="steps"))),
    Kind("removed", text("a mounted part was taken out"), ("item",),
         (Field("into", ident, needed=True, also=("from",)), Field("reason", line))),
    Kind("held", text("nothing may be done until somebody decides"), _ANY, (_REASON, _NONCONFORMANCE)),
    Kind("freed", text("a hold was lifted"), _ANY, (_REASON, Field("hold", key))),
    Kind("reported", text("something does not conform"), _ANY,
         (Field("text", line, needed=True), Field("defect", name, known="defects"), _PHOTOGRAPH,
          _NONCONFORMANCE, Field("step", name, known="steps"))),
    Kind("disposed", text("what becomes of a nonconformance was decided"), _ANY,
         (Field("nonconformance", key, needed=True),
          Field("disposition", choice(*DISPOSITIONS), needed=True),
          Field("to_step", name, known="steps", also=("to",)), Field("authority", name, needed=True),
          Field("reason", line), Field("quantity", number(0.0, above=True)))),
    Kind("released", text("a set may leave"), ("set",),
         (Field("dossier", digest, needed=True, also=("dossier_digest",)), Field("override", line))),
    Kind("shipped", text("a set left"), ("set",),
         (Field("dossier", digest, also=("dossier_digest",)), Field("haulier", line), Field("to", line))),
    Kind("noted", text("somebody wrote something down"), _ANY,
         (Field("text", line), _PHOTOGRAPH,
          Field("topic", choice("handover", "instruction", "problem", "other"))), bare=True),
    Kind("corrected", text("an earlier event was wrong"), (),
         (Field("event", key, needed=True, also=("event_corrected", "corrects")),
          Field("reason", choice(*REASONS), needed=True), Field("explanation", line)), bare=True),
    # beyond the twelve rows of the public table: identity, orders, tools, people, machines
    Kind("registered", text("a thing got its identity"), _ANY,
         (Field("what", choice(*BEINGS)), *_BELONGS, Field("material", name, known="materials"),
          Field("finished", flag), Field("flitch", ident), Field("number", whole),
          Field("revision", name), Field("values", values))),
    Kind("ordered", text("a customer ordered, or changed an order"), (),
         (Field("order", ident, needed=True), Field("product", name, needed=True, known="products"),
          Field("option", name), Field("quantity", whole, needed=True), Field("due", day, needed=True),
          Field("weight", number(0.0, above=True)), Field("released", day), Field("customer", line)),
         bare=True),
    Kind("cancelled", text("an order or a purchase fell through"), (),
         (Field("order", ident), Field("purchase", ident), _REASON), bare=True),
    Kind("purchased", text("material was ordered and is not yet here"), (),
         (Field("purchase", ident, needed=True), Field("material", name, needed=True, known="materials"),
          Field("quantity", number(0.0, above=True), needed=True), Field("unit", unit_name, needed=True),
          Field("arrives", day, needed=True)), bare=True),
    Kind("counted", text("the rest of a lot was counted"), ("lot",),
         (Field("quantity", number(0.0), needed=True), Field("unit", unit_name), _REASON)),
    Kind("moved", text("an item was put into a buffer"), ("item", "set"),
         (Field("buffer", name, needed=True, known="buffers"),)),
    Kind("logged", text("a machine's log of a stretch of time"), ("item", "set", "lot"),
         (Field("source", name, needed=True), Field("from", moment, needed=True),
          Field("to", moment, needed=True), Field("attachment", digest, needed=True),
          Field("batch", ident), Field("gaps", spans), Field("quantity", name)), bare=True),
    Kind("calibrated", text("an instrument was checked"), (),
         (Field("instrument", ident, needed=True), Field("good", flag, needed=True), Field("until", day),
          Field("certificate", digest), Field("text", line)), bare=True),
    Kind("qualified", text("a person may do a kind of work until a day"), (),
         (Field("person", name, needed=True), Field("skill", name, needed=True), Field("until", day),
          Field("withdrawn", flag), Field("text", line)), bare=True),
    Kind("adopted", text("a revision of the works came into force"), (),
         (Field("revision", digest, needed=True), Field("from_set", ident), _REASON,
          Field("unlike_mates", flag)), bare=True),
    Kind("refused", text("an act at a station was refused"), _ANY,
         (Field("act", name, needed=True), Field("codes", many(name), needed=True), Field("text", line),
          Field("step", name, known="steps"), Field("scanned", many(ident))), bare=True),
    Kind("acknowledged", text("somebody took notice"), _ANY,
         (Field("about", key, needed=True), Field("text", line)), bare=True),
    Kind("told", text("a message about something left the works"), _ANY,
         (Field("about", key, needed=True), Field("by", choice("webhook", "mail"), needed=True),
          Field("to", line, needed=True), Field("text", line)), bare=True),
    Kind("assigned", text("somebody is to do something by a day"), _ANY,
         (Field("action", name, needed=True), Field("person", name, needed=True), Field("by", day),
          Field("text", line, needed=True)), bare=True),
    Kind("settled", text("what was to be done is done"), _ANY,
         (Field("action", name, needed=True), Field("text", line)), bare=True),
)  # fmt: skip

KINDS: Final[Mapping[str, Kind]] = {kind.name: kind for kind in _TABLE}
