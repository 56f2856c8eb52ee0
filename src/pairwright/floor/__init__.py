"""What happened on the floor: events, the things they make up, pairs, holds, traces.

Orders and stock for the plan are in `stock`, imported by its name: it needs the works.
"""

from pairwright.floor.chain import BEGINNING, Chain, Link, canonical, check_chain, seal
from pairwright.floor.composition import links
from pairwright.floor.event import Entry, Event, from_stored
from pairwright.floor.holds import Reach, holds_on, reached_by, release_around
from pairwright.floor.kinds import KINDS, Kind
from pairwright.floor.past import Stored
from pairwright.floor.read import Known, known_of, read_event, read_events
from pairwright.floor.standing import standing
from pairwright.floor.state import State, fold, fold_all
from pairwright.floor.things import Item, Lot, Order, Set, Thing, Tool
from pairwright.floor.tracing import Trace, document, in_doubt, made_of, trace, where_used
from pairwright.floor.weighing import Outcome, Rule, accept, refusals, weigh

__all__ = [
    "BEGINNING",
    "Chain",
    "Entry",
    "Event",
    "Item",
    "KINDS",
    "Kind",
    "Known",
    "Link",
    "Lot",
    "Order",
    "Outcome",
    "Reach",
    "Rule",
    "Set",
    "State",
    "Stored",
    "Thing",
    "Tool",
    "Trace",
    "accept",
    "canonical",
    "check_chain",
    "document",
    "fold",
    "fold_all",
    "from_stored",
    "holds_on",
    "in_doubt",
    "known_of",
    "links",
    "made_of",
    "reached_by",
    "read_event",
    "read_events",
    "refusals",
    "release_around",
    "seal",
    "standing",
    "trace",
    "weigh",
    "where_used",
]
