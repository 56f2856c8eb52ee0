"""Products: options, parts, layups, routes of steps."""

from __future__ import annotations

from typing import Annotated, Literal, TypeAlias

from pydantic import BeforeValidator, Field

from pairwright.base.words import text
from pairwright.works.inspection import Inspection
from pairwright.works.recipe import (
    ClampRecipe,
    FlatRecipe,
    GlueUpRecipe,
    JoinRecipe,
    PolishRecipe,
    PressRecipe,
    RestRecipe,
    SandRecipe,
    SprayRecipe,
    StoveRecipe,
    TrimRecipe,
    WorkRecipe,
)
from pairwright.works.record import (
    Angle,
    Count,
    Day,
    Flag,
    Id,
    Length,
    People,
    Positive,
    Record,
    Share,
    StatedDuration,
    Times,
    Wait,
    refuse,
)

# Keys at the top of a product file; every other table there is a part.
PRODUCT_KEYS = (
    "binding", "effectivity", "handed", "id", "inspection", "kind", "lost_half", "mates_within", "name", "options",
    "root", "values",
)  # fmt: skip
WORK_KINDS = ("finish", "wind", "build", "test", "board", "measure", "inspect", "clean", "pack")


class Ply(Record):
    """One veneer of a layup and the direction of its grain against the bend's axis.

    ``0 deg`` runs along the bend (bent around the mould), ``90 deg`` across it.
    """

    veneer: Id
    grain: Angle = 0.0


class Layup(Record):
    """The stack to be pressed, from the inner face out."""

    plies: tuple[Ply, ...] = Field(min_length=1)
    stated: Count | None = None  # the number, when plies were stated as a number
    alternation: tuple[Ply, ...] = ()
    inner: Ply | None = None
    outer: Ply | None = None


class Segment(Record):
    """A piece of the inner profile: a straight line, or an arc of a radius and a turn."""

    line: Length | None = None
    radius: Length | None = None
    turn: Angle | None = None


class Profile(Record):
    """The inner profile of a shell and its height; the steepest wall against the press axis."""

    segments: tuple[Segment, ...] = Field(min_length=1)
    height: Length
    steepest_wall: Angle = 0.0


class Alternative(Record):
    """A station that can do a step, with its own duration where that differs."""

    station: Id
    duration: StatedDuration | None = None


def _read_alternative(value: object) -> object:
    return {"station": value} if isinstance(value, str) else value


AlternativeField: TypeAlias = Annotated[Alternative, BeforeValidator(_read_alternative)]


class Consumption(Record):
    """A material used by a step, per item."""

    material: Id
    amount: Positive  # in the material's unit


class Rework(Record):
    """What happens when a step fails its check: how often, and back to which step."""

    chance: Share
    to: Id


class StepBase(Record):
    """What every step states.

    `next_min` and `next_max` bound the time from the end of this step to the start of the next
    one. `pause` lets the work stop over a break. `together` is done once for the whole set.
    `mates` asks both halves into one batch; `mates_within` bounds the time between the starts
    of the two halves' steps. `takes`/`returns` name a carrier that holds the item from the start
    of the first to the end of the second. `keeps_place` holds the station's place until the next
    step starts. `buffer` is where the item waits for the next step. `setup` is the family that
    the station must be set to. `load` is the item's share of a batch's capacity, `batch` the word
    that must be alike for items to share one (default: this product, part and step).
    """

    id: Id
    name: str = ""
    stations: tuple[AlternativeField, ...] = ()
    duration: StatedDuration = "computed"
    sealed: Times | None = None
    restricted: str | None = None  # the file of a confidential recipe
    people: People | None = None
    crew: Id | None = None
    skill: Id | None = None
    pause: Flag = False
    together: Flag = False
    only: tuple[Id, ...] = ()
    except_: tuple[Id, ...] = Field(default=(), alias="except")
    uses: tuple[Id, ...] = ()
    next_min: Wait = 0.0
    next_max: Wait | None = None
    mates: Literal["free", "same batch"] = "free"
    mates_within: Wait | None = None
    takes: Id | None = None
    returns: Id | None = None
    keeps_place: Flag = False
    buffer: Id | None = None
    setup: str | None = None
    load: Positive = 1.0
    batch: str | None = None
    programme: Id | None = None
    consumes: tuple[Consumption, ...] = ()
    scrap: Share = 0.0
    rework: Rework | None = None
    cautions: tuple[Id, ...] = ()
    handling: str = ""


class PressStep(StepBase):
    """Hot pressing."""

    kind: Literal["press"]
    recipe: PressRecipe | None = None


class TrimStep(StepBase):
    """Machine trimming."""

    kind: Literal["trim"]
    recipe: TrimRecipe | None = None


class GlueUpStep(StepBase):
    """Gluing bracing, baffles, metal parts."""

    kind: Literal["glue-up"]
    recipe: GlueUpRecipe | None = None


class ClampStep(StepBase):
    """Clamping through the cure."""

    kind: Literal["clamp"]
    recipe: ClampRecipe | None = None


class SandStep(StepBase):
    """Sanding."""

    kind: Literal["sand"]
    recipe: SandRecipe | None = None


class SprayStep(StepBase):
    """Spraying one coat."""

    kind: Literal["spray"]
    recipe: SprayRecipe | None = None


class StoveStep(StepBase):
    """Warm air drying."""

    kind: Literal["stove"]
    recipe: StoveRecipe | None = None


class FlatStep(StepBase):
    """Flatting."""

    kind: Literal["flat"]
    recipe: FlatRecipe | None = None


class RestStep(StepBase):
    """A computed wait."""

    kind: Literal["rest"]
    recipe: RestRecipe | None = None


class PolishStep(StepBase):
    """Polishing."""

    kind: Literal["polish"]
    recipe: PolishRecipe | None = None


class JoinStep(StepBase):
    """Assembly."""

    kind: Literal["join"]
    recipe: JoinRecipe | None = None


class WorkStep(StepBase):
    """Work with a stated time: finishing by hand, winding, building, testing, packing."""

    kind: Literal["finish", "wind", "build", "test", "board", "measure", "inspect", "clean", "pack"]
    recipe: WorkRecipe | None = None


Step: TypeAlias = (
    PressStep | TrimStep | GlueUpStep | ClampStep | SandStep | SprayStep | StoveStep | FlatStep
    | RestStep | PolishStep | JoinStep | WorkStep
)  # fmt: skip
StepField: TypeAlias = Annotated[Step, Field(discriminator="kind")]
COMPUTED_KINDS = ("press", "glue-up", "clamp", "stove", "rest", "sand", "polish", "spray", "flat", "trim")


def _read_layup(value: object) -> object:
    """A number of plies repeats the alternation between the faces; a list is taken as it is."""
    if not isinstance(value, dict) or isinstance(value.get("plies"), list):
        return value
    stated = value.get("plies")
    alternation = value.get("alternation")
    faces = [value[k] for k in ("inner", "outer") if k in value]
    if isinstance(stated, bool) or not isinstance(stated, int):
        raise refuse(text("a number of plies, or the full list"), text("write 11, or list them"))
    if not isinstance(alternation, list) or not alternation:
        raise refuse(text("a number with an alternation beside it"), text("state the alternation"))
    inside = stated - len(faces)
    if inside < 1 or stated > 60:
        raise refuse(text("1 to 60 plies, the faces included"), text("correct the number"))
    body = [alternation[n % len(alternation)] for n in range(inside)]
    plies = [*([value["inner"]] if "inner" in value else []), *body,
             *([value["outer"]] if "outer" in value else [])]  # fmt: skip
    return {**value, "plies": plies, "stated": stated}


class Part(Record):
    """A component of a product: bought (`article`), or made by its steps."""

    name: str
    article: Id | None = None
    quantity: Count = 1  # per item of the part that uses it
    handed: Flag = False
    places: Count = 1  # of a buffer that one item takes
    layup: Annotated[Layup, BeforeValidator(_read_layup)] | None = None
    profile: Profile | None = None
    leaf: Flag = False  # its outer veneer is book-matched leaves: the pair begins here
    moisture: Share | None = None
    reserve: Length | None = None  # least film left after finishing
    only: tuple[Id, ...] = ()
    steps: tuple[StepField, ...] = ()


class Option(Record):
    """A veneer or colour: names its materials, and may bind its pairs otherwise."""

    name: str
    binding: Literal["early", "late", "none"] | None = None
    values: dict[str, str] = {}
    price: Positive | None = None


class Effectivity(Record):
    """From which set on a revision of a product holds, and what becomes of the half-made.

    `half_made`: what has begun, and parts in stock, keep the old route and are not mixed with the new,
    or change to the revision. With `mates_may_differ` one half may be of the old revision.
    """

    revises: Id
    revision: str = Field(min_length=1, max_length=20)
    from_set: str | None = None
    from_order: str | None = None
    from_date: Day | None = None  # orders due on this day or later
    half_made: Literal["keep", "change"] = "keep"
    mates_may_differ: Flag = False


class Product(Record):
    """The design of a set, for one option (placeholders are filled in)."""

    id: Id
    name: str
    kind: Literal["pair", "single", "trial"]  # a trial is what is made to learn from: no pair, no sale
    handed: Flag = False
    binding: Literal["early", "late", "none"]
    option: Id
    option_name: str
    root: Id  # the part that is the finished half (or the single)
    parts: dict[Id, Part]
    mates_within: Wait | None = None  # allowed time between the halves, where a step states none
    effectivity: Effectivity | None = None  # of a revision of another product
    inspection: Inspection | None = None  # what is looked over on it
    # What becomes of an early-bound pair when one half is lost in making: both are made anew from
    # a new leaf pair, or the lost one alone, to be mated again.
    lost_half: Literal["both anew", "mate again"] = "both anew"

    def route(self, part: str) -> tuple[Step, ...]:
        """The ordered steps of a part in this option."""
        return self.parts[part].steps

    def sides(self) -> tuple[str | None, ...]:
        """Sides of the halves: left and right, a and b, or none for a single."""
        if self.kind != "pair":
            return (None,)
        return ("left", "right") if self.handed and self.binding == "early" else ("a", "b")

    def user_of(self, part: str) -> tuple[str, str] | None:
        """The part and step that use a part, or None for the root."""
        for name, holder in self.parts.items():
            for step in holder.steps:
                if part in step.uses:
                    return name, step.id
        return None
